"""What is doubtful about the adjusted mead: sugar and living yeast, doses the law or the cold forbids, room in the vessel."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from planner.adjusting.adjustment_headline import bottled_words
from planner.adjusting.base_mead import Basis
from planner.adjusting.bottle_safety import IN_BOTTLES, together
from planner.adjusting.mead import Mead, seeming
from planner.adjusting.refermentation_risk import Risk, Stillness, consequence, limit_words, stillness
from planner.adjusting.solubility import CELLAR, COLD, Dissolves, dissolves
from planner.adjusting.stabilisation import (
    BY_HEAT,
    BY_SALTS,
    Treatment,
    keepers,
    logged_as_stabilised,
    planned_way,
    treatment,
)
from planner.document.batch import Batch, Event, What
from planner.document.bottled import bottled
from planner.model.gas import GAS_PER_HEXOSE
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Additive
from planner.timeline.particle_filter import STILL_SWEET
from planner.timeline.results import FinishOutcome
from planner.wording import phrases
from planner.wording.finding import Finding, caution, error, note, warning
from planner.wording.measuring import measured_as

AIR = 0.05
"""Share of a vessel that may stay empty over finished mead. [-] Common practice, no source: fill to the neck."""

BOTTLE = 0.75e-3
"""Of which the contents are told in cautions. [m^3]"""

ERYTHRITOL_PER_DAY = 0.5e-3
"""Acceptable intake per body weight and day. [kg/kg] EFSA 2023."""

ADULT = 70.0
"""Body weight for which the caution works an intake out. [kg] EFSA Scientific Committee, EFSA Journal 2012;10(3):2579, from memory."""

OTHER_VOLUME = 0.05
"""Share by which two volumes of one mead may differ without a word. [-] A sample or two, and lines on a carboy."""

CARBONATE_STEP = 1.0
"""Most acid that is taken away at once. [kg/m^3 as tartaric] Common practice, no source."""


def mead_findings(batch: Batch, catalogue: Catalogue, mead: Mead, finish: FinishOutcome) -> tuple[Finding, ...]:
    """Doubts about the adjusted mead.

    Parameters
    ----------
    mead : Mead
        Before and after. [as its fields]
    """
    begun = batch.adjustment.additions or mead.measured or mead.given
    shut = bottled(batch) is not None
    before: tuple[Finding, ...] = ()
    if shut:  # what is in bottles is neither stabilised, nor heated, nor left to finish
        before = tuple(_in_bottles(batch, catalogue, mead))
    if not begun and mead.basis is not Basis.AT_REST:
        return before if shut else tuple(_sour(mead, note))
    if not shut:
        before = (
            *_stillness(batch, catalogue, mead),
            *_moving(batch, mead),
            *_stabilisers(batch),
            *_sour(mead, warning),
        )
    return (
        *before,
        *_doses(batch, catalogue, mead),
        *_given(batch, catalogue, mead),
        *_room(batch, mead),
        *_differs(batch, mead),
        *_lost_sugar(mead, finish),
    )


def _stillness(batch: Batch, catalogue: Catalogue, mead: Mead) -> Iterator[Finding]:
    kept = treatment(batch, mead)
    if kept is Treatment.DONE:
        return
    still = stillness(mead, catalogue.yeast(batch.recipe.yeast.key).tolerance, False)
    if still.risk == Risk.NONE:
        return
    added = sum(effect.fermentable for effect in mead.effects) / mead.after.volume.typical
    left, most = mead.after.fermentable, phrases.concentration(still.eaten.high)
    gas = phrases.concentration(GAS_PER_HEXOSE.high * still.eaten.high)
    end = f"enough to {consequence(still.gauge)}"
    where = "adjustment.additions" if added > 0.5 else "adjustment"
    allowed = keepers(batch.recipe.rules)
    found = mead.known is not None and mead.known.by_test  # what a test found is there, however little
    left_by_yeast = found or left.typical > STILL_SWEET
    begun = batch.adjustment.additions or mead.measured or mead.given
    say = error if begun else warning  # as long as nobody adjusts it, it is a mead that waits, and no mistake
    early = kept is Treatment.PLANNED and mead.basis in (Basis.EXPECTED, Basis.FORECAST)
    if early and still.risk >= Risk.REAL:
        yield warning(where, f"Do not bottle before what is planned is done{_plan(batch)}. Up to {{}} of sugar can still ferment. In a closed "
                      f"bottle it would make {{}} of carbon dioxide, {end}.", most, gas)  # fmt: skip
    elif added > 0.5 and still.risk >= Risk.REAL:
        yield error(where, f"Do not bottle this yet: up to {{}} of sugar can still ferment. In a closed bottle it would make {{}} of "
                    f"carbon dioxide, {end}. {_before_honey(allowed)}{_untold(batch, kept)}", most, gas)  # fmt: skip
    elif mead.known is not None and mead.known.torn:
        yield _over(where, "two instruments disagree, and up to {} may ferment", still,
                    "Measure again before you bottle" + _or_keep(allowed), say if still.risk >= Risk.REAL else warning)  # fmt: skip
    elif still.risk >= Risk.REAL and left_by_yeast and mead.basis in (Basis.AT_REST, Basis.MEASURED):
        yield say(where, "Do not bottle this yet: up to {} of sugar can still ferment, most likely {}. If the yeast wakes in a closed "
                  f"bottle, the most makes {{}} of carbon dioxide, {end}. " + _at_rest(allowed) + _untold(batch, kept),
                  most, phrases.concentration(still.eaten.typical), gas)  # fmt: skip
    elif mead.known is not None and mead.known.by_test:
        yield _over(
            where,
            "your sugar test allows up to {} of sugar",
            still,
            "Test again with a finer test" + _or_keep(allowed),
        )
    else:
        yield _over(where, "up to {} of sugar may still ferment", still,
                    "Test for residual sugar before you bottle" + _or_keep(allowed))  # fmt: skip


def _over(where: str, found: str, still: Stillness, act: str, level: Callable[..., Finding] = warning) -> Finding:
    """That there may be more sugar than the limit, what it could do, and what to do."""
    limit = limit_words()
    return level(where, f"Sugar in the bottle could {consequence(still.gauge)}: {found}. {act} {limit.template}.",
                 phrases.concentration(still.eaten.high), *limit.figures)  # fmt: skip


def _in_bottles(batch: Batch, catalogue: Catalogue, mead: Mead) -> Iterator[Finding]:
    """What is bottled already, though yeast could take of it what bursts bottles."""
    said = bottled_words(batch, mead, catalogue)
    if said is not None:
        place = next(f"log.readings.{n}" for n, entry in reversed([*batch.log.entries.of_kind(Event)])
                     if entry.what is What.BOTTLED and not entry.excluded)  # fmt: skip
        text = together(*said)
        yield error(place, text.template, *text.figures)


def _plan(batch: Batch) -> str:
    way = planned_way(batch.adjustment)
    return f" ({way})" if way else ""


def _untold(batch: Batch, kept: Treatment) -> str:
    """Why a tick, or a plan, is not enough."""
    if kept is not Treatment.PLANNED:
        return ""
    if logged_as_stabilised(batch):
        return " The log says that it was stabilised, but it still ferments. Neither salts nor heat count before it has stopped."
    if not batch.adjustment.stabilised:
        return (
            f" {planned_way(batch.adjustment).capitalize()} is planned and not done yet. Tick “Stabilised” once it is."
        )
    return " “Stabilised” is ticked, but a stalled ferment may wake. The tick counts once the log says “stabilised”, on its day."


def _before_honey(allowed: tuple[str, ...]) -> str:
    """What to do instead of bottling sugar with living yeast, as the house rules allow."""
    if BY_SALTS in allowed:
        return "Stabilise first, use sweeteners yeast leaves, or keep it cold and drink it soon."
    heated = f"{IN_BOTTLES}, " if BY_HEAT in allowed else ""
    return f"Use sweeteners yeast leaves, {heated}or keep it cold and drink it soon."


def _at_rest(allowed: tuple[str, ...]) -> str:
    """What to do with a mead that has stopped sweet, as the house rules allow."""
    what = [{BY_SALTS: "stabilise it", BY_HEAT: IN_BOTTLES}[way] for way in allowed]
    return f"Let it finish, or {', or '.join(what or ['keep it cold and drink it soon'])}."


def _or_keep(allowed: tuple[str, ...]) -> str:
    """The end of a sentence that asks for a test."""
    return ", or stabilise." if BY_SALTS in allowed else f", or {IN_BOTTLES}." if BY_HEAT in allowed else "."


def _moving(batch: Batch, mead: Mead) -> Iterator[Finding]:
    """Additions to what still ferments."""
    if mead.basis is not Basis.FORECAST or not batch.adjustment.additions:
        return
    now = mead.known.present.sugar.typical if mead.known is not None and mead.known.present is not None else None
    end = ": these figures are a forecast of its end. Add nothing before it has stopped, and measure again then."
    if now is None:
        yield warning("adjustment", "It still ferments" + end)
    else:
        yield warning("adjustment", "It still ferments, with {} of sugar left" + end, phrases.concentration(now))


def _doses(batch: Batch, catalogue: Catalogue, mead: Mead) -> Iterator[Finding]:
    room = mead.after.volume.typical
    seen: set[str] = set()
    for index, addition in enumerate(batch.adjustment.additions):
        row = catalogue.additive(addition.key)
        place = f"adjustment.additions.{index}"
        dose = sum(a.mass for a in batch.adjustment.additions if a.key == addition.key) / room
        yield from _limits(place, row, dose, mead)
        small = measured_as(addition.mass, row.density)
        if small is not None:
            what = phrases.volume(addition.mass / row.density) if row.density else phrases.mass(addition.mass)
            yield note(place, f"{{}}: {small.template[0].lower()}{small.template[1:]}", what, *small.figures)
        if addition.key == "another-mead" and addition.blend is None:
            yield note(place, "A dry mead of 12 % vol stands in for this one. Choose its batch under “From an earlier batch”, and blend with it.")  # fmt: skip
        for key in row.cautions:
            if key not in seen and key not in ("refermentation", "co2-room"):
                seen.add(key)
                yield _caution(place, key, dose, catalogue)


def _limits(place: str, row: Additive, dose: float, mead: Mead) -> Iterator[Finding]:
    """What the cold or the law has against a dose in the finished mead [kg/m^3]."""
    yield from _crystals(place, row, dose, dissolves(row, mead.after.alcohol.typical))
    if row.ceiling is not None and dose > row.ceiling * (1.0 + 1e-9):
        yield warning(place, phrases.literal(row.name) + ": {} exceeds the limit of {}. " + phrases.literal(row.ceiling_note),
                      phrases.trace(dose), phrases.trace(row.ceiling))  # fmt: skip
    if row.group == "deacidifier" and mead.before.acid.typical - mead.after.acid.typical > CARBONATE_STEP:
        yield note(place, "This takes more than {} of acid. Do it in steps of that size at most, and taste between.",
                   phrases.concentration(CARBONATE_STEP))  # fmt: skip


def _crystals(place: str, row: Additive, dose: float, limit: Dissolves | None) -> Iterator[Finding]:
    """Whether a dose stays dissolved [kg/m^3]."""
    if limit is None or dose <= limit.warn:
        return
    name, shown, most = phrases.literal(row.name), phrases.concentration(dose), phrases.concentration(limit.cold)
    cold, cellar = phrases.temperature(COLD), phrases.temperature(CELLAR)
    if dose <= limit.cold:
        yield warning(place, name + ": {} in the finished mead is close to what stays dissolved in the cold. That is about {} at {} (an estimate). Stay below {} to be sure.", shown, most, cold, phrases.concentration(limit.warn))  # fmt: skip
    elif limit.cellar is not None and dose > limit.cellar:
        yield error(place, name + ": {} in the finished mead may crystallise in a cold cellar, and even at {}. About {} stays dissolved there, {} at {}.", shown, cellar, phrases.concentration(limit.cellar), most, cold)  # fmt: skip
    else:
        yield error(place, name + ": {} in the finished mead may crystallise in a cold cellar. About {} stays dissolved at {}.",
                    shown, most, cold)  # fmt: skip


def _caution(place: str, key: str, dose: float, catalogue: Catalogue) -> Finding:
    if key == "erythritol-intake" and dose > 0.0:
        bottle = dose * BOTTLE
        return caution(place, key, catalogue, "A bottle of {} holds {} of erythritol; an adult of {} may take {} a day. ",
                    phrases.volume(BOTTLE), phrases.mass(bottle), phrases.person(ADULT),
                    phrases.mass(ADULT * ERYTHRITOL_PER_DAY))  # fmt: skip
    return caution(place, key, catalogue)


def _stabilisers(batch: Batch) -> Iterator[Finding]:
    places = {a.key: i for i, a in enumerate(batch.adjustment.additions) if a.mass > 0.0}
    sulphite, sorbate = (places.get(key) for key in ("potassium-metabisulphite", "potassium-sorbate"))
    if sorbate is not None and sulphite is None:
        yield warning(f"adjustment.additions.{sorbate}", "Do not use sorbate without sulphite: bacteria turn it into a smell of geraniums.")  # fmt: skip
    if (
        sorbate is not None
        and sulphite is not None
        and not batch.adjustment.stabilised
        and not logged_as_stabilised(batch)
        and not batch.adjustment.stabilising
    ):
        yield note("adjustment.stabilised", "Sulphite and sorbate are among the additions. Once they are in and the gravity has not moved for two weeks, tick “Stabilised”.")  # fmt: skip


def _given(batch: Batch, catalogue: Catalogue, mead: Mead) -> Iterator[Finding]:
    for one in mead.given:
        place = next((f"adjustment.additions.{i}" for i, a in enumerate(batch.adjustment.additions) if a.key == one.key),
                     "adjustment.additions")  # fmt: skip
        if one.mass > one.planned * 1.005 + 1e-6:
            yield note(place, phrases.literal(catalogue.additive(one.key).name) + ": {} was stirred in, {} more than planned. What was stirred in counts.", phrases.mass(one.mass), phrases.mass(one.mass - one.planned))  # fmt: skip


def _room(batch: Batch, mead: Mead) -> Iterator[Finding]:
    adjustment = batch.adjustment
    whole = mead.before.volume.typical + adjustment.drunk
    if adjustment.volume is not None and adjustment.drunk >= adjustment.volume:
        yield error("adjustment.drunk", "{} was taken out of {}: nothing would be left.", phrases.volume(adjustment.drunk),
                    phrases.volume(adjustment.volume))  # fmt: skip
    elif adjustment.drunk > 0.25 * whole:
        yield note("adjustment.drunk", "{} is more than a quarter of the mead.", phrases.volume(adjustment.drunk))
    if adjustment.vessel is None:
        return
    shown = (phrases.volume(mead.after.volume.typical), phrases.volume(adjustment.vessel))
    if mead.after.volume.typical > adjustment.vessel:
        yield error("adjustment.vessel", "With its additions the mead ({}) does not fit into the vessel ({}).", *shown)
    elif mead.after.volume.typical < (1.0 - AIR) * adjustment.vessel:
        yield note("adjustment.vessel", "{} of air stays above the mead. Top up, or use a smaller vessel, or it oxidises.",
                   phrases.volume(adjustment.vessel - mead.after.volume.typical))  # fmt: skip


def _sour(mead: Mead, told: Callable[..., Finding]) -> Iterator[Finding]:
    """What will hardly be drunk as it is planned."""
    sharp = seeming(mead.after, mead.ph).sharp
    last = len(sharp.scale.words) - 1
    if sharp.typical == last and sharp.low >= last - 1:
        yield told("adjustment", "It will taste " + sharp.word + ": {} of acid beside {} of sweetness. Taste it before you bottle. Sweeten it, blend it, or take acid away in steps of at most {}.", phrases.concentration(mead.after.acid.typical),
                   phrases.concentration(mead.after.sweetness.typical), phrases.concentration(CARBONATE_STEP))  # fmt: skip


def _differs(batch: Batch, mead: Mead) -> Iterator[Finding]:
    known, here = mead.known, batch.adjustment.volume
    if (
        known is not None
        and known.room is not None
        and here is not None
        and abs(here / known.room - 1.0) > OTHER_VOLUME
    ):
        yield warning("adjustment.volume", "The last volume of your log differs: {}. The one you entered here, {}, counts. Empty this field if the log is newer.",
                      phrases.volume(known.room), phrases.volume(here))  # fmt: skip
    if known is not None and known.differs is not None:
        gravity, day = known.differs
        yield warning("adjustment.gravity", "The last gravity of the log differs: {} on day {}. If the log is newer, use it. If this one is newer, log it, so that the fall since then counts.",
                      phrases.gravity(gravity), phrases.day(day))  # fmt: skip


def _lost_sugar(mead: Mead, finish: FinishOutcome) -> Iterator[Finding]:
    if mead.measured and mead.before.gravity.typical < finish.dry_gravity.low - 0.002:
        yield note("adjustment.gravity", "{} is lower than this must should reach even dry ({}). It holds less extract than the tables say.", phrases.gravity(mead.before.gravity.typical),
                   phrases.gravity(finish.dry_gravity.typical))  # fmt: skip
