"""The mead: what to weigh and what it does, glasses to try it in, what keeps the bottle stable, and how it tasted."""

from __future__ import annotations

from collections.abc import Iterator

from planner.adjusting.additions import density_of, given_doses
from planner.adjusting.adjustment_headline import NOT_TASTED, bottled_words
from planner.adjusting.base_mead import Basis
from planner.adjusting.bottle_safety import together
from planner.adjusting.mead import AdditionEffect, Mead, seeming
from planner.adjusting.refermentation_risk import Risk, stillness
from planner.adjusting.stabilisation import Treatment, treatment
from planner.adjusting.stabilisation_methods import ways
from planner.adjusting.trial import Stock, plan
from planner.document.batch import Trial
from planner.document.bottled import bottled
from planner.document.timestamps import parsed
from planner.evaluation.outcome import Outcome
from planner.model.span import Span
from planner.model.viscosity import STEP as BODY_STEP
from planner.papers.dates import date
from planner.papers.measures import figure_of
from planner.papers.tree import Block, Listing, Measure, Paragraph, Row, Scales, Section, Table, Text
from planner.reference.catalogue import Catalogue
from planner.tasting.sheet import FAULTS, SHEET, marked
from planner.units import Kind
from planner.wording import phrases
from planner.wording.phrases import Words, literal, say

GIVEN = 0.995
"""Share of a planned addition from which its box is ticked. [-] What weighing leaves."""

SPOONS = 12.0
"""Level US teaspoons below which a measure by spoon is told. [-] More is weighed."""

FERMENTS_FROM = 0.002
"""Part of an ingredient that yeast can take, from which that is said. [kg/kg]"""

_KNOWN_BY = {
    Basis.MEASURED: "Figures rest on the gravity that you measured in the mead.",
    Basis.AT_REST: "Figures rest on the log of a mead that has stopped.",
    Basis.FORECAST: "Figures are for the end that the log forecasts.",
    Basis.EXPECTED: "Figures are for the end that the recipe lets expect.",
}
_AT = {Basis.MEASURED: "Now", Basis.AT_REST: "Now", Basis.FORECAST: "At its end", Basis.EXPECTED: "At its end"}


def mead_pages(outcome: Outcome, shelf: Catalogue) -> Iterator[Block]:
    """How the mead is adjusted; nothing where there is none."""
    mead = outcome.mead
    if mead is None:
        return
    blocks = [*_stability(outcome, mead, shelf), *_weighing(outcome, mead, shelf), *_before_after(mead)]
    for trial in outcome.batch.adjustment.trials:
        blocks += _trial(trial, outcome, mead, shelf)
    yield Section("Adjustment", tuple(blocks), new_page=True)
    yield from _ways(outcome, mead, shelf)


def _stability(outcome: Outcome, mead: Mead, shelf: Catalogue) -> Iterator[Block]:
    batch = outcome.batch
    tolerance = shelf.yeast(batch.recipe.yeast.key).tolerance
    still = stillness(mead, tolerance, treatment(batch, mead) is Treatment.DONE)
    danger = bottled_words(batch, mead, shelf)
    if danger is not None:
        yield Paragraph(together(*danger), "danger")
        return
    yield Paragraph(still.words, "danger" if still.risk >= Risk.UNSURE else "")
    if still.risk is not Risk.NONE and bottled(batch) is None:
        yield Paragraph(f"Bottle and closure: {still.vessel.words}")


def _weighing(outcome: Outcome, mead: Mead, shelf: Catalogue) -> Iterator[Block]:
    additions = outcome.batch.adjustment.additions
    given = given_doses(outcome.batch.log.readings)
    head = ("Weigh", "Of what", "What it does")
    if not mead.effects:
        table = Table(head, widths=(1.0, 1.6, 2.4), blank=5)
        yield Section("What to weigh", (Paragraph("You chose no additions. Here is room for your own."), table))
        return
    rows = []
    for effect in mead.effects:
        line = additions[effect.index]
        planned = sum(one.mass for one in additions if one.key == line.key)
        there, row = given.get(line.key, 0.0), shelf.additive(line.key)
        amount = say("{}", phrases.mass(effect.mass))
        if row.liquid:
            amount = say("{}\n{}", phrases.volume(effect.mass / density_of(row, line)), *amount.figures)
        elif effect.teaspoons is not None and 0.5 <= effect.teaspoons < SPOONS:
            amount = say("{}\nabout {} level tsp", *amount.figures, phrases.count(max(effect.teaspoons, 1.0)))
        named = say(literal(effect.name))
        if 0.0 < there < GIVEN * planned:
            named = say(
                f"{named.template}\n{{}} is in, {{}} to come", phrases.mass(there), phrases.mass(planned - there)
            )
        does = say("for keeping, not for taste") if row.group in NOT_TASTED else _does(effect)
        rows.append(Row((amount, named, does), there >= GIVEN * planned))
    yield Section("What to weigh", (Table(head, tuple(rows), (0.0, 1.2, 1.8), right=(0,)),))


def _does(effect: AdditionEffect) -> Words:
    """What an addition changes, and what yeast does with it."""
    changes = (
        (effect.sweetness, 1.0, "{} sweeter", "{} less sweet", phrases.concentration),
        (effect.acid, 0.05, "{} more acid", "{} less acid", phrases.concentration),
        (effect.alcohol, 5e-4, "{} stronger", "{} weaker", phrases.alcohol),
    )
    words, figures = [], []
    for change, least, more, less, figure in changes:
        if abs(change) >= least:
            words.append(more if change > 0.0 else less)
            figures.append(figure(abs(change)))
    if abs(effect.viscosity) >= BODY_STEP:
        words.append("thicker" if effect.viscosity > 0.0 else "thinner")
    end = "; yeast will ferment it" if effect.fermentable > FERMENTS_FROM * effect.mass else ""
    return say((", ".join(words) or "little that can be tasted") + end, *figures)


def _before_after(mead: Mead) -> Iterator[Block]:
    changed = bool(mead.effects)
    stages = (mead.before, mead.after) if changed else (mead.before,)
    rows = [Row((name, *(figure_of(getattr(one, field), kind) for one in stages))) for name, field, kind in _PROPERTIES]
    if mead.ph_before is not None:
        told = (mead.ph_before, mead.ph) if changed else (mead.ph_before,)
        name = "pH" if mead.ph_measured else "pH, not measured"
        rows.append(Row((name, *("" if one is None else figure_of(one, "ph") for one in told))))
    seems = [seeming(mead.before, mead.ph_before), seeming(mead.after, mead.ph)][: 1 + changed]
    rows += [
        Row((f"{what} in words", *(str(getattr(one, name).words) for one in seems)))
        for what, name in (("Sweetness", "sweet"), ("Sharpness", "sharp"), ("Body", "full"))
    ]
    head = ("", "Before additions", "After all additions") if changed else ("", _AT[mead.basis])
    yield Section(
        "The mead",
        (Table(head, tuple(rows), (1.0, *(1.5 for _ in head[1:]))), Paragraph(_KNOWN_BY[mead.basis], "small")),
    )


_PROPERTIES: tuple[tuple[str, str, str], ...] = (
    ("Volume", "volume", "volume"),
    ("Gravity", "gravity", "gravity"),
    ("Strength", "alcohol", "alcohol"),
    ("Sweetness, as sucrose", "sweetness", "concentration"),
    ("Fermentable sugar", "fermentable", "concentration"),
    ("Acid, as tartaric", "acid", "concentration"),
    ("Body", "viscosity", "viscosity"),
)
"""What is told of a mead: its name, its field, and the kind of its figures."""


def _trial(trial: Trial, outcome: Outcome, mead: Mead, shelf: Catalogue) -> list[Block]:
    """How to fill the glasses of a trial, and where to note what was thought of them."""
    lines = {line.key: line for line in outcome.batch.adjustment.additions}
    if not trial.glasses or any(part.key not in shelf.additives for part in trial.parts):
        return []
    made = plan(trial, mead.base.member(0), shelf, lines)
    stocks = tuple(_stock(place, stock) for place, stock in enumerate(made.stocks, start=1))
    rows = [
        Row((f"{place}", say("{}", phrases.share(glass.strength)),
             say(" + ".join("{}" for _ in pour.stocks) or "none", *(phrases.volume(one) for one in pour.stocks)),
             say("{}", phrases.volume(pour.plain)), "" if glass.score is None else Measure(Span.exactly(glass.score), Kind.NUMBER),
             "" if glass.rank is None else f"{glass.rank}"))
        for place, (glass, pour) in enumerate(zip(trial.glasses, made.pours, strict=True), start=1)
    ]  # fmt: skip
    when = None if trial.at is None else parsed(trial.at)
    title = "Trial glasses" if when is None else f"Trial glasses of {date(when)}"
    table = Table(
        ("Glass", "Of the dose", "Stock", "Mead", "Score of 10", "Rank"), tuple(rows), (0.7, 1, 1.4, 1, 1.2, 1)
    )
    return [Section(title, (Listing(stocks, numbered=False), table))]


def _stock(place: int, stock: Stock) -> Words:
    """How a stock is made, and diluted where it is."""
    figures = [phrases.mass(stock.mass), phrases.volume(stock.made_up_to), phrases.volume(stock.plain)]
    told = f"Stock {place}: weigh {{}} of {phrases.in_a_sentence(stock.name)}, and make it up to {{}} with {{}} of the mead."
    if stock.dilution is not None:
        figures += [phrases.volume(stock.dilution.taken), phrases.volume(stock.dilution.made_up_to)]
        told += " Take {} of that, make it up to {} with the mead, and pour this."
    return say(told, *figures)


def _ways(outcome: Outcome, mead: Mead, shelf: Catalogue) -> Iterator[Block]:
    """Ways to a stable bottle that would do and that no rule of the house is against; none once it is bottled or stabilised."""
    batch = outcome.batch
    if bottled(batch) is not None or treatment(batch, mead) is Treatment.DONE:
        return
    tolerance = shelf.yeast(batch.recipe.yeast.key).tolerance
    if stillness(mead, tolerance, False).risk is Risk.NONE:
        return
    found = [way for way in ways(mead, tolerance, batch.recipe.rules, in_bottles=False) if way.works and way.is_allowed]
    sections = tuple(
        Section(
            way.name,
            (
                Paragraph(way.state),
                Listing(way.doses),
                *([Paragraph(way.caution, "danger")] if way.caution.template else []),
            ),
        )
        for way in found
    )
    if sections:
        yield Section("Ways to a stable bottle", (Paragraph("Choose one of them."), *sections))


# --- tasting


def tasting_pages(outcome: Outcome) -> Iterator[Block]:
    """How it tasted so far, and a sheet for the next time."""
    batch = outcome.batch
    end = bottled(batch)
    if batch.tastings:
        rows = []
        for tasting in batch.tastings:
            when = None if tasting.at is None else parsed(tasting.at)
            age = None if end is None else end.age(tasting.at)
            told: Text = "" if when is None else date(when)
            if age is not None and age >= 0.0:
                told = say(f"{literal(str(told))}\n{{}} days in the bottle", phrases.day(age))
            marks = marked(tasting.marks)
            noted = literal(tasting.note) if marks.template else tasting.note
            rows.append(
                Row((told, say(f"{marks.template}\n{noted}".strip(), *marks.figures) if marks.template else noted))
            )
        table = Table(("When", "How it tasted"), tuple(rows), (0.0, 1.0))
        yield Section("Tastings so far", (table,))
    scales = tuple(
        Section(title, (Scales(tuple((line.name, line.low, line.high) for line in lines)),)) for title, lines in SHEET
    )
    doubts = Table(("Smells that a good mead does not have", ""),
                   tuple(Row((line.name, "☐ absent    ☐ a trace    ☐ clear")) for line in FAULTS), (1.0, 1.0))  # fmt: skip
    who = Table(
        (),
        (Row(("Date", "", "Taster", "")), Row(("Glass and temperature", "", "Bottle opened on", ""))),
        (1.2, 1.6, 1.1, 1.4),
    )
    yield Section("Tasting sheet", (
        Paragraph("Set a mark on each line. Look first, then smell, then taste.", "small"), who, *scales, doubts,
        Table(("In your own words",), widths=(1.0,), blank=3, fills=True),
    ), new_page=True)  # fmt: skip
