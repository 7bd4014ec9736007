"""Words on where the mead stands before its additions, and whether it will stay still after them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from planner.adjusting.base_mead import Basis, KnownMead
from planner.adjusting.mead import Mead, Properties, seeming
from planner.adjusting.refermentation_risk import STILL_SUGAR
from planner.adjusting.stabilisation import BY_SALTS, Treatment, keepers, treatment
from planner.document.bottled import bottled
from planner.evaluation.outcome import Outcome
from planner.model.span import Span
from planner.model.taste import word_of_the_law
from planner.timeline.particle_filter import HALF
from planner.timeline.verdict_rule import FINISHED, STALLED, TEST
from planner.ui.adjust.text import body_text, ends, kept_together, sugar_text
from planner.ui.display import SPACE, Display
from planner.ui.widgets.remarks import in_words, under
from planner.units import Kind
from planner.wording.finding import Level


class Stability(NamedTuple):
    """Whether the mead will stay still, where no finding says that it may not."""

    level: Level
    text: str


def properties_text(properties: Properties, display: Display) -> dict[str, str]:
    """The values of the rows of where it stands, by the names of `Properties`."""
    return {
        "alcohol": display.percent_vol(properties.alcohol),
        "fermentable": sugar_text(properties.fermentable, display),
        "acid": display.grams_per_litre(properties.acid),
        "sweetness": display.grams_per_litre(properties.sweetness),
        "viscosity": body_text(properties.viscosity, display),
    }


def seeming_text(properties: Properties, ph: Span | None) -> str:
    """How it will seem, and what the law would call it."""
    found = seeming(properties, ph)
    word = word_of_the_law(properties.fermentable.typical, properties.acid.typical)
    return f"Seems {found.words}. EU wine law would say “{word}”. {found.advice}".rstrip()


SEEMING_HOVER = "<p>Sweet and sharp mask each other, so each is judged beside the other. Two words stand where studies differ. Cold or gas makes it seem less sweet and sharper. The law's word goes by sugar and acid. Mead is not wine in law: the word describes and does not certify.</p>"
"""What is to be known of it."""


def basis_text(mead: Mead, display: Display) -> str:
    """By what the mead before its additions is known, and the ranges of what was not measured."""
    known = mead.known
    if known is None:
        return ""
    told = [*_basis(mead, known, display)]
    if known.torn:
        told.append("Two instruments disagree; the ranges are wide enough for both.")
    if known.kept_at is not None and told:
        kelvin, day = known.kept_at
        shown = display.temperature(kelvin)
        told.append(
            f"Planned temperature {shown}."
            if day is None
            else f"Last measured at {shown}, on day{SPACE}{display.number(day, 0)}."
        )
    return " ".join(kept_together(text) for text in told)


def _basis(mead: Mead, known: KnownMead, display: Display) -> Iterator[str]:
    before, basis = mead.before, mead.basis
    if mead.given:
        yield "Figures are for the mead before what the log says was stirred in."
    gravity, sugar = ends(before.gravity, Kind.GRAVITY, display), sugar_text(before.fermentable, display)
    day = known.day
    if basis is Basis.EXPECTED:
        yield f"No measurements yet: figures are what the recipe should give. Gravity {gravity}, {ends(before.volume, Kind.VOLUME, display)}."
    elif basis is Basis.FORECAST and day is not None:
        about = display.number(day.typical, 0)
        between = "" if day.is_exact else f" ({display.number(day.low, 0)} to {display.number(day.high, 0)})"
        stands = known.present is not None and known.present.standing >= HALF
        if stands:
            yield f"It hardly moves and may be stalling: figures are for its present gravity, {gravity}."
        else:
            yield f"Still fermenting: figures are for the expected end, day {about}{between}, at a gravity of {gravity}."
        if known.present is not None and not stands:
            yield f"Now {sugar_text(known.present.sugar, display)} of sugar is left."
    elif basis is Basis.AT_REST and day is not None:
        when = f"day{SPACE}{display.number(day.typical, 0)}"
        word = {STALLED: f"stalled at {display.gravity(before.gravity.typical)}, with {sugar} of sugar left",
                FINISHED: "finished"}.get(known.kind, f"it has stopped with {sugar} of sugar left, finished or stalled: a test would tell")  # fmt: skip
        yield f"By the log, {when}: {word}."
    elif basis is Basis.MEASURED and known.kind and known.kind not in (FINISHED, STALLED, TEST):
        yield "Figures are from your gravity. But the log says that it still ferments: measure again before you dose."


def stillness(outcome: Outcome, display: Display) -> Stability | None:
    """What the figures say where no finding speaks of sugar in the bottle; None where one does."""
    adjustment, mead = outcome.batch.adjustment, outcome.mead
    if mead is None:
        return Stability(Level.NOTE, "Enter the gravity of the finished mead, or an addition, to see.")
    shut = bottled(outcome.batch) is not None
    if shut and _may_burst(outcome):
        return Stability(Level.ERROR, in_words(outcome.headline.sentence, display))
    if mead.basis is Basis.FORECAST and not adjustment.additions and not shut:
        return Stability(Level.NOTE, "Still fermenting: do not bottle.")
    if mead.basis is Basis.EXPECTED and not adjustment.additions and not shut:
        return Stability(Level.NOTE, "Enter the gravity of the finished mead, or an addition, to see.")
    doubts = [f for f in under(outcome.findings, "adjustment") if f.level >= Level.WARNING]
    if any(f.place in ("adjustment", "adjustment.additions") for f in doubts):
        return None
    see = " But an addition carries a warning: see there." if doubts else ""
    sugar = mead.after.fermentable
    most = f"at most {display.number(sugar.high, 1)}{SPACE}g/L of fermentable sugar"
    if treatment(outcome.batch, mead) is Treatment.DONE and sugar.high > STILL_SUGAR:
        held = f"about {display.grams_per_litre(sugar.typical)} of sugar stays only as long as that holds"
        text = f"Stabilised; {held}."
    elif sugar.high <= STILL_SUGAR:
        tested = mead.known is not None and mead.known.by_test
        text = f"Stable, by {'your sugar test' if tested else 'the figures'}: {most}."
        text += "" if tested or shut else " Confirm it with a sugar test."
    else:
        reached = display.percent_vol(mead.after.alcohol)
        text = f"Stable, by the figures: at {reached} this yeast is past its limit{'' if shut else _surer(outcome)}."
    return Stability(Level.WARNING if doubts else Level.NOTE, text + see)


def _may_burst(outcome: Outcome) -> bool:
    """Whether a finding tells of bottles that may burst, which the headline then does too."""
    told = outcome.headline.sentence.template
    return any(
        f.level is Level.ERROR and f.text.template.startswith(told) for f in under(outcome.findings, "log.readings")
    )


def _surer(outcome: Outcome) -> str:
    """What makes surer than a limit of the yeast, as the house rules allow."""
    allowed = keepers(outcome.batch.recipe.rules)
    return f"; {'stabilising' if BY_SALTS in allowed else 'pasteurising'} confirms it" if allowed else ""
