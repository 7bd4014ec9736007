"""Routes of a batch that is made already: what can still be done with it, its recipe and its log as they are."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import msgspec

from planner.adjusting import dose
from planner.adjusting.adjustment_headline import bottled_words
from planner.adjusting.base_mead import Basis
from planner.adjusting.bottle_safety import COLD_NOTE, HEATED_STEP, heat_caution, heating, together
from planner.adjusting.dosing import weighable
from planner.adjusting.mead import Mead
from planner.adjusting.refermentation_risk import STILL_SUGAR, Stillness, stillness
from planner.adjusting.stabilisation import Treatment, treatment
from planner.adjusting.stabilisation_methods import UNKNOWN_PH, sulphite_dose
from planner.document.batch import Addition, Batch
from planner.document.bottled import bottled
from planner.evaluation.outcome import Outcome, carried_over, evaluate
from planner.model import sorbate
from planner.model.guards import BadInput
from planner.model.span import Span
from planner.model.sweetness import ACID_STEP, sucrose_equivalent
from planner.planning.cost import cost
from planner.planning.route import RELUCTANT, NoWay, Planned, Route, RoutePlan, allowed_bodies, beyond, stays
from planner.planning.schedule import DOSING_DAYS, schedule
from planner.recipe.house_rules import (
    HEAT,
    SORBATE,
    SULPHITE,
    LeftOut,
    objections,
    offered,
    treatment_objections,
)
from planner.recipe.vessels import way
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Additive
from planner.timeline.verdict_rule import STALLED
from planner.wording import phrases
from planner.wording.phrases import Words, in_a_sentence, say

ACIDS, CARBONATES = ("tartaric-acid", "malic-acid", "citric-acid"), ("potassium-bicarbonate",)
"""What may sharpen a mead or take acid from it; of the acids the first that the rules leave."""

GLASS = 0.15e-3
"""In which it is sweetened when it is served. [m^3]"""


def is_made(batch: Batch) -> bool:
    """Whether a batch is past planning: pitched, or with entries in its log."""
    return batch.log.pitched_at is not None or len(batch.log.readings) > 0


class _Here(NamedTuple):
    """The batch without what is planned for it, and what is wanted of it."""

    batch: Batch
    mead: Mead
    outcome: Outcome
    plan: RoutePlan
    catalogue: Catalogue
    members: int


def routes_from_here(batch: Batch, catalogue: Catalogue, plan: RoutePlan, members: int) -> tuple[Route, ...]:
    """What can still be done with a batch that is made, side by side.

    Parameters
    ----------
    batch : Batch
        Its log and what was measured of the mead tell where it stands; what was stirred in stays in. [as its fields]
    members : int
        Members of the ensemble. [-]

    Returns
    -------
    tuple of Route
        Each with the same recipe and log and with other additions, weighed for the volume there is. [as its fields]
    """
    bare = with_additions(batch, ())
    outcome = evaluate(bare, catalogue, members)
    ways: tuple[tuple[str, str, Callable[[_Here, str, str], Route]], ...] = (
        ("sweetener", "Sweeten with what yeast leaves", _unfermentable),
        ("glass", "Bottle it now, sweeten in the glass", _in_the_glass),
        ("heat", "Sweeten with honey, then pasteurise", _heated),
        ("stabilised", "Stabilise, then sweeten with honey", _stabilised),
        ("cold", "Sweeten with honey, keep it cold", _cold),
    )
    if outcome.mead is None:
        nothing = say("There is nothing to ferment.")
        return tuple(Route(key, name, (), cannot=nothing) for key, name, _ in ways)
    here = _Here(bare, outcome.mead, outcome, plan, catalogue, members)
    shut = say("It is bottled.") if bottled(batch) is not None else None
    found = []
    for key, name, work in ways:
        if shut is not None and key != "glass":
            found.append(Route(key, name, (), cannot=shut))
            continue
        try:
            found.append(work(here, key, name))
        except NoWay as failure:
            found.append(Route(key, name, (), cannot=failure.why))
        except BadInput as failure:  # meads that no one makes, beyond what a formula holds for
            found.append(Route(key, name, (), cannot=beyond(failure)))
    return tuple(found)


def with_additions(batch: Batch, additions: tuple[Addition, ...], stabilising: Planned = "") -> Batch:
    """The batch with nothing but these planned for its mead; all that was measured stays.

    Parameters
    ----------
    stabilising : str
        How yeast is to be kept from working: "salts", "heat", or "" for not at all. [-]
    """
    adjustment = msgspec.structs.replace(batch.adjustment, additions=additions, stabilising=stabilising)
    return msgspec.structs.replace(batch, adjustment=adjustment)


# --- the routes


def _unfermentable(here: _Here, key: str, name: str) -> Route:
    kept, out = offered(here.batch.recipe.rules, (row for row in here.catalogue.additives.values() if stays(row)))
    if not kept and _is_short(here):
        raise NoWay(say("The house rules allow no sweetener that yeast leaves."))
    return _told(here, key, name, _doses(here, tuple(row.key for row in kept)), left_out=out)


def _in_the_glass(here: _Here, key: str, name: str) -> Route:
    last: tuple[Words, ...] = (say("Bottle it once nothing is left to ferment."),)
    additions = _doses(here, ())
    if bottled(here.batch) is not None:  # what is in is in
        additions, last = _as_given({one.key: one.mass for one in here.mead.given}), ()
    dry = _told(here, key, name, additions, last=last)
    if not _is_short(here):
        return msgspec.structs.replace(dry, steps=(*dry.steps, say("It is already as sweet as your target.")))
    every = _doses(here, ("honey",))
    honey = sum(a.mass for a in every if a.key == "honey") - sum(a.mass for a in additions if a.key == "honey")
    glass = _dosed(here, every).mead
    assert glass is not None
    serve = say("Sweeten when it is served: {} of honey in a glass of 150 mL.",
                phrases.mass(weighable(honey / glass.after.volume.typical * GLASS)))  # fmt: skip
    after = glass.after
    return msgspec.structs.replace(
        dry, steps=(*dry.steps, serve), finish=after.gravity, alcohol=after.alcohol, sweetness=after.sweetness,
        viscosity=after.viscosity, acid=after.acid,
    )  # fmt: skip


def _heated(here: _Here, key: str, name: str) -> Route:
    return _told(
        here, key, name, _doses(here, ("honey",)), stabilising="heat", against=treatment_objections(here.batch.recipe.rules, HEAT),
        last=(say(f"{HEATED_STEP} Then tick “Stabilised”."), *heating()),
        notes=(together(say("Heat costs some aroma."), heat_caution()),),
    )  # fmt: skip


def _stabilised(here: _Here, key: str, name: str) -> Route:
    sweet = _doses(here, ("honey",))
    done = _dosed(here, sweet).mead
    assert done is not None
    acidity = done.ph or UNKNOWN_PH
    _, powder = sulphite_dose(done, acidity)
    wanted = {
        "potassium-metabisulphite": powder.typical,
        "potassium-sorbate": sorbate.usual_dose(acidity.typical, done.after.volume.typical).typical,
    }
    given = {one.key: one.mass for one in here.mead.given}
    salts = tuple(Addition(key=k, mass=max(weighable(mass), given.get(k, 0.0))) for k, mass in wanted.items())
    others = tuple(a for a in sweet if a.key not in wanted)
    return _told(
        here, key, name, (*salts, *others), stabilising="salts", against=treatment_objections(here.batch.recipe.rules, SULPHITE, SORBATE),
        last=(say("When the gravity has not moved for two weeks, tick “Stabilised”."),),
        notes=(say("These doses are for a pH of {}. Measure the pH, which decides them. Local rules set the limits.", phrases.ph(acidity.typical)),),
    )  # fmt: skip


def _cold(here: _Here, key: str, name: str) -> Route:
    return _told(
        here, key, name, _doses(here, ("honey",)), last=(say("Bottle it, and keep every bottle in the fridge."),),
        notes=(say(COLD_NOTE),),
    )  # fmt: skip


# --- what is stirred in


def _is_short(here: _Here) -> bool:
    """Whether the mead as it is, with what was stirred in, is less sweet than wished."""
    return here.mead.after.sweetness.typical < here.plan.sweetness


def _doses(here: _Here, sweeteners: tuple[str, ...]) -> tuple[Addition, ...]:
    """The smallest additions to what is wished, as they can be weighed; in all, with what was stirred in already."""
    plan, mead = here.plan, here.mead
    bodies, _ = allowed_bodies(here.batch, here.catalogue, plan)
    sour, _ = _for_acid(here)
    base = mead.base.member(0)
    given = {one.key: one.mass for one in mead.given}
    wanted = []
    if sweeteners:
        most = max(plan.sweetness, float(sucrose_equivalent(mead.mixed.member(0))))
        wanted.append(dose.Bound("sweetness", low=plan.sweetness, high=most))
    if plan.body is not None:
        wanted.append(dose.Bound("viscosity", low=plan.body))
    if sour and plan.acid is not None:
        wanted.append(dose.Bound("acid", low=plan.acid, high=plan.acid))
    keys = (*sweeteners, *bodies, *sour)
    if not wanted or not keys:
        return _as_given(given)
    found = dose.find(base, wanted, keys, here.catalogue, least=given, cost=RELUCTANT)
    return tuple(
        msgspec.structs.replace(one, mass=max(weighable(one.mass), given.get(one.key, 0.0)))
        for one in found.additions
        if weighable(one.mass) > 0.0
    )


def _as_given(given: dict[str, float]) -> tuple[Addition, ...]:
    return tuple(Addition(key=key, mass=mass) for key, mass in given.items())


def _for_acid(here: _Here) -> tuple[tuple[str, ...], tuple[LeftOut, ...]]:
    """What may bring the acid to the wished one, as far as a taster would notice, and what the rules leave out."""
    wish = here.plan.acid
    if wish is None:
        return (), ()
    off = wish - here.mead.after.acid.typical
    if abs(off) < ACID_STEP:
        return (), ()
    rows: list[Additive] = [here.catalogue.additive(key) for key in (ACIDS if off > 0.0 else CARBONATES)]
    kept, out = offered(here.batch.recipe.rules, rows)
    return tuple(row.key for row in kept[:1]), out if not kept else ()


def _dosed(here: _Here, additions: tuple[Addition, ...], stabilising: Planned = "") -> Outcome:
    """What follows with these additions; where labels of what was stirred in go with others, worked out anew."""
    made = with_additions(here.batch, additions, stabilising)
    return carried_over(here.outcome, made, here.catalogue) or evaluate(made, here.catalogue, here.members)


# --- how it is told


def _told(
    here: _Here,
    key: str,
    name: str,
    additions: tuple[Addition, ...],
    *,
    stabilising: Planned = "",
    last: tuple[Words, ...] = (),
    against: tuple[Words, ...] = (),
    notes: tuple[Words, ...] = (),
    left_out: tuple[LeftOut, ...] = (),
) -> Route:
    """A route from its additions: what is told is what the batch then shows.

    `stabilising` says how yeast is kept from working at its end; the batch is not ticked so before that is done.
    """
    outcome, catalogue = _dosed(here, additions, stabilising), here.catalogue
    made, mead = outcome.batch, outcome.mead
    assert mead is not None
    after = mead.after
    rules = made.recipe.rules
    row = catalogue.yeast(made.recipe.yeast.key)
    still = stillness(mead, row.tolerance, bool(stabilising) or treatment(made, mead) is Treatment.DONE)
    _, bodies_out = allowed_bodies(made, catalogue, here.plan)
    _, acids_out = _for_acid(here)
    bottles = sum(b.number for b in way(made, catalogue, after.volume.typical, after.volume.typical).bottles)
    broken = tuple(why for a in additions for why in objections(rules, catalogue.additive(a.key)))
    return Route(
        key, name, (*_before(here, still), *_stir_in(here, additions), *last), made, outcome, yeast=row.name,
        finish=after.gravity, alcohol=after.alcohol, sweetness=after.sweetness, viscosity=after.viscosity, acid=after.acid,
        days=_bottled(outcome, catalogue), cost=cost(made, bottles), still=still, notes=(*notes, *_of_volume(here, additions)),
        against=tuple(dict.fromkeys((*against, *broken))), left_out=(*left_out, *bodies_out, *acids_out),
    )  # fmt: skip


def _before(here: _Here, still: Stillness) -> tuple[Words, ...]:
    """What comes before anything is stirred in."""
    if bottled(here.batch) is not None:
        said = bottled_words(here.batch, here.mead, here.catalogue)
        return said or ()
    verdict = here.outcome.verdict
    if verdict is not None and verdict.kind == STALLED:
        return (say("It has stalled. Get it going again first, or use these doses for the mead as it is now."),)
    if here.mead.basis is Basis.FORECAST:
        return (say("These doses are for its forecast. Wait until it has stopped, measure it, and compare again."),)
    if (
        here.mead.before.fermentable.high > STILL_SUGAR
        and not here.batch.adjustment.stabilised
        and still.eaten.high > 0.0
    ):
        return (
            say(
                "Test for residual sugar: there may be up to {}.",
                phrases.concentration(here.mead.before.fermentable.high),
            ),
        )
    return ()


def _stir_in(here: _Here, additions: tuple[Addition, ...]) -> tuple[Words, ...]:
    given = {one.key: one.mass for one in here.mead.given}
    steps = []
    for addition in additions:
        title = here.catalogue.additive(addition.key).name
        name, more = in_a_sentence(title), addition.mass - given.get(addition.key, 0.0)
        if weighable(more) <= 0.0:
            continue
        again = "more of " if addition.key in given else "of "
        steps.append(say(f"Stir in {{}} {again}{name}.", phrases.mass(weighable(more))))
    return tuple(steps) or (say("Stir nothing in."),)


def _of_volume(here: _Here, additions: tuple[Addition, ...]) -> tuple[Words, ...]:
    """For how much mead the doses are, where nobody measured it."""
    if not additions or here.batch.adjustment.volume is not None:
        return ()
    return (
        say(
            "These doses are for {}, by the recipe. Measure the volume first.",
            phrases.volume(here.mead.before.volume.typical),
        ),
    )


def _bottled(outcome: Outcome, catalogue: Catalogue) -> Span | None:
    """From pitching to the bottle: by the schedule, and not before what is stirred in has settled after the last entry. [d]"""
    task = next((task for task in schedule(outcome, catalogue).tasks if task.key == "bottle"), None)
    if task is None:
        return None
    last = max((row.day for row in outcome.log if row.day is not None), default=0.0) + DOSING_DAYS
    return Span(max(task.early, last), max(task.day, last), max(task.late, last))
