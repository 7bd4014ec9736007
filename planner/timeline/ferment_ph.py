"""How the pH goes while a must ferments, and whether it holds potassium enough to bear that: by the balance of charges."""

from __future__ import annotations

from typing import NamedTuple

import msgspec
import numpy as np
import numpy.typing as npt

from planner.document.batch import Recipe
from planner.model.acidity import CARBONATES
from planner.model.fermentation import TYPICAL_YIELDS, malic_used, partly_fermented
from planner.model.liquid import Liquid, alcohol, fermentable, volume
from planner.model.ph import HIGHEST, LOWEST, buffer, ph_by_salts, ph_of_blend
from planner.model.span import Span
from planner.recipe.acidity import must_ph, step_fed_parts
from planner.recipe.must import Must
from planner.reference.catalogue import Catalogue

Array = npt.NDArray[np.float64]

PER_NITROGEN, NITROGEN_MOLAR_MASS = 0.5, 0.014007
"""Charge that each mole of nitrogen of ammonium phosphate brings, and takes away twice when yeast takes it up [-], and the molar mass
of nitrogen [kg/mol]: (NH4)2HPO4 brings two ammonium ions and, at the pH of must, one H2PO4-. Amino nitrogen leaves no charge."""

SULPHATE = "ammonium-sulphate"
"""Key of the nutrient whose acid is strong: its charge is as much lower, before and after."""

POTASSIUM = Span(0.6, 0.85, 0.95)
"""Potassium among the charge that balances a must's acids. [-] Minerals of 27 fruits in a food database (USDA SR28) give 0.72 to
0.93; honey holds less beside sodium, calcium and magnesium (estimate)."""

POTASSIUM_MOLAR_MASS = 0.039098
"""[kg/mol] Standard atomic weight."""

PER_PROTON = 25.0
"""Moles of potassium for each of free acid that yeast wants, or it may stick. [-] Kudo, Vagnoli & Bisson 1998 (from memory); that
is 0.6 g/L at pH 3.2, as the optimum of a published series of meads."""

BEARS_LITTLE = 3.2
"""pH from which on a lack of potassium is no danger to speak of. [-] Estimate."""

AT_WORK = 0.4
"""Share of the sugar used when a ferment's pH is about at its lowest: the ammonium is taken up, and alcohol, in which acids hold on to
their protons, is still to come. [-] Estimate."""

NEITHER_SOUR = Span(4.0, 4.0, 4.0)
"""Stands for the pH of a must of neither fruit nor honey. [-] At which acid is no hardship."""

FERMENT_PH = 0.15
"""Doubt about what fermentation does to the pH besides the acids it makes, half width of 90 %. [-] Estimate."""

MOST_CARBONATE = 15.0
"""Most that is advised of a carbonate, as charge. [mol/m^3] 1.5 g/L of bicarbonate; from about 2 g/L it tastes salty (estimate)."""

CARBONATE_STEP = 0.25
"""Steps in which it is sought. [mol/m^3] 25 mg/L of bicarbonate."""

FALL_DOUBT = Span(0.6, 1.0, 1.5)
"""Doubt about how far the pH falls while it ferments, as a factor. [-] Estimate: acids made vary as much."""


class Given(NamedTuple):
    """What feeds bring besides food."""

    ammonium: float  # nitrogen that leaves acid behind [mol]
    base: float  # acid that carbonates take away [mol]
    potassium: float  # [mol]


def given_by_feeds(recipe: Recipe, catalogue: Catalogue, until: float = np.inf) -> Given:
    """What the feeds of a recipe bring besides food.

    Parameters
    ----------
    until : float
        Day after which feeds do not count; those without a day are given late. [d]

    Returns
    -------
    Given
        Blends do not tell their parts: all of their nitrogen counts as ammonium. [mol]
    """
    ammonium = base = potassium = 0.0
    for feed in recipe.feeds:
        if until < np.inf and (feed.day is None or feed.day > until):
            continue
        row, salt = catalogue.nutrient(feed.key), CARBONATES.get(feed.key)
        nitrogen = 0.0 if row.organic else feed.mass * row.nitrogen.typical / NITROGEN_MOLAR_MASS
        ammonium += nitrogen
        if feed.key == SULPHATE:
            base -= PER_NITROGEN * nitrogen
        if salt is not None:
            base += feed.mass * salt.equivalents
            potassium += feed.mass * salt.potassium / POTASSIUM_MOLAR_MASS
    return Given(ammonium, base, potassium)


def freed_acid(recipe: Recipe, catalogue: Catalogue) -> float:
    """Acid that a titration finds in the mead for the feeds of a recipe: less where carbonates outweigh ammonium. [mol]

    Each ammonium ion frees a proton as it is taken up; of the phosphate, a titration to pH 8.2 finds the second one, too.

    Parameters
    ----------
    recipe, catalogue
        As those of `given_by_feeds`. [as there]
    """
    given = given_by_feeds(recipe, catalogue)
    return given.ammonium - given.potassium


def acidity_of(recipe: Recipe, start: Must, catalogue: Catalogue) -> Span:
    """pH of the must at pitching, as far as it is known of it: measured, or by the balance of charges.

    Returns
    -------
    Span
        [-] 2 to 7, between which pH is understood here.
    """
    known = start.ph or must_ph(recipe, start, catalogue) or NEITHER_SOUR
    return Span(*(min(max(value, 2.0), 7.0) for value in known))


class _Moment(NamedTuple):
    """A must at some stage of its ferment: what was made of it, and the charge that feeds have left."""

    made: Liquid
    salts: float


def _at(must: Liquid, given: Given, ph: float, used: float, taken: float) -> _Moment:
    """With a share of the sugar used and a share of the feeds' nitrogen taken up, from a pH at pitching."""
    yields = TYPICAL_YIELDS._replace(malic=malic_used(ph))
    stage = partly_fermented(must, (1.0 - used) * fermentable(must), yields)
    return _Moment(Liquid(stage.masses - must.masses), given.base + PER_NITROGEN * given.ammonium * (1.0 - 2.0 * taken))


def rise_at_once(recipe: Recipe, start: Must, catalogue: Catalogue, ph: Span) -> float:
    """By how much carbonates that are given with the yeast raise the pH of the typical must. [-]

    Parameters
    ----------
    recipe, start, catalogue, ph
        As those of `fall_at_work`. [as there]
    """
    base = given_by_feeds(recipe, catalogue, 0.0).base
    if not base > 0.0:
        return 0.0
    must = start.liquid.member(0)
    return float(ph_by_salts(buffer(must, ph.typical), [base], float(volume(must)))[0]) - ph.typical


def fall_at_work(recipe: Recipe, start: Must, catalogue: Catalogue, ph: Span) -> float:
    """By how much the pH of the typical must falls on its way to the lowest it comes to; negative where it rises. [-]

    Parameters
    ----------
    recipe, start, catalogue
        As those of `acidity_of`. [as there]
    ph : Span
        At pitching. [-]
    """
    must = start.liquid.member(0)
    made, salts = _at(must, given_by_feeds(recipe, catalogue), ph.typical, AT_WORK, 1.0)
    both = must + made
    if not float(volume(both)) > 0.0:
        return 0.0
    mixture = buffer(must, ph.typical).with_made(made, salts)
    return ph.typical - float(
        ph_by_salts(mixture, np.zeros(1), float(volume(both)), float(alcohol(both)), ph.typical)[0]
    )


def potassium_of(start: Must, ph: Span, share: float = POTASSIUM.typical) -> float:
    """Potassium of a typical must, by the charge that balances its acids at its pH. [mol]

    Parameters
    ----------
    ph : Span
        At pitching. [-]
    share : float
        Of potassium among that charge: see `POTASSIUM`. [-]
    """
    return float(share * max(buffer(start.liquid.member(0), ph.typical).salts, 0.0))


def ph_at_rest(recipe: Recipe, start: Must, catalogue: Catalogue, used: float) -> Span | None:
    """pH of a mead of which none was measured.

    Parameters
    ----------
    recipe, start, catalogue
        As those of `acidity_of`. [as there]
    used : float
        Share of all its sugar that it has used. [-]

    Returns
    -------
    Span or None
        An estimate; None where nothing in the must is sour. [-]
    """
    later = step_fed_parts(recipe, catalogue)
    if start.ph is None and must_ph(recipe, start, catalogue) is None and not later:
        return None
    must = start.liquid.member(0)
    whole = sum((part.liquid for part in later), start=must)
    acidity = acidity_of(recipe, start, catalogue)
    end = _at(whole, given_by_feeds(recipe, catalogue), acidity.typical, used, 1.0)
    return _doubted(ph_of_blend([(must, acidity), *later], end.made, end.salts))


class Shortage(msgspec.Struct, frozen=True):
    """Potassium that a must lacks for the pH that it comes to, and what brings it.

    Attributes
    ----------
    ph : float
        The lowest that it comes to. [-]
    held, wanted : float
        Potassium of must and feeds, and what yeast wants at that pH. [kg/m^3]
    base : float
        Charge of potassium carbonates with which it would suffice, no more than `MOST_CARBONATE`. [mol/m^3]
    helped : float
        The lowest pH with that. [-]
    suffices : bool
        Whether that is enough.
    """

    ph: float
    held: float
    wanted: float
    base: float
    helped: float
    suffices: bool


class PhAhead(msgspec.Struct, frozen=True):
    """The pH of a must through its ferment, and its potassium.

    Attributes
    ----------
    at_pitching, lowest : Span
        pH before the yeast, and at work. [-]
    short : Shortage or None
        What potassium is missing; None where enough is there, or the pH stays so high that it is no danger.
    may_be_short : Shortage or None
        The same at the lower end of what is known of the pH.
    """

    at_pitching: Span
    lowest: Span
    short: Shortage | None
    may_be_short: Shortage | None


def ph_ahead(recipe: Recipe, start: Must, catalogue: Catalogue, fall: float) -> PhAhead | None:
    """The pH of a must through its ferment.

    Parameters
    ----------
    recipe, start, catalogue
        As those of `acidity_of`. [as there]
    fall : float
        By how much the pH of the typical must falls. [-]

    Returns
    -------
    PhAhead or None
        None where nothing in the must is sour. [as its fields]
    """
    if start.ph is None and must_ph(recipe, start, catalogue) is None:
        return None
    ph = acidity_of(recipe, start, catalogue)
    ends = (ph.low - fall * doubt for doubt in FALL_DOUBT), (ph.high - fall * doubt for doubt in FALL_DOUBT)
    lowest = Span(min(ends[0]), ph.typical - fall, max(ends[1]))
    given, must = given_by_feeds(recipe, catalogue), start.liquid.member(0)
    work = _at(must, given, ph.typical, AT_WORK, 1.0) if lowest.low < BEARS_LITTLE else None
    if work is None:
        return PhAhead(ph, lowest, None, None)
    likely = _shortage(must, work, given, ph.typical) if lowest.typical < BEARS_LITTLE else None
    return PhAhead(ph, lowest, likely, likely or _shortage(must, work, given, ph.low))


def _shortage(must: Liquid, work: _Moment, given: Given, ph: float) -> Shortage | None:
    """What is missing of potassium in a must that has this pH at pitching; None if nothing is."""
    sour, room, both = buffer(must, ph), float(volume(must)), must + work.made
    held = POTASSIUM.typical * max(sour.salts, 0.0) + given.potassium
    added = np.arange(0.0, MOST_CARBONATE + CARBONATE_STEP, CARBONATE_STEP)
    there = ph_by_salts(sour.with_made(*work), added * room, float(volume(both)), float(alcohol(both)))
    wanted = PER_PROTON * 1e3 * 10.0**-there * room
    bears = (held + added * room >= wanted) | (there >= BEARS_LITTLE)
    if bears[0]:
        return None
    place = int(np.argmax(bears)) if bears.any() else len(added) - 1
    per_litre = POTASSIUM_MOLAR_MASS / room
    return Shortage(
        ph=float(there[0]),
        held=held * per_litre,
        wanted=float(wanted[0]) * per_litre,
        base=float(added[place]),
        helped=float(there[place]),
        suffices=bool(bears.any()),
    )


def _doubted(found: Span) -> Span:
    """A pH with the doubt about what a ferment does to it besides."""
    low, high = (float(np.hypot(found.typical - end, FERMENT_PH)) for end in (found.low, found.high))
    return Span(max(found.typical - low, LOWEST), found.typical, min(found.typical + high, HIGHEST))
