"""What strains the yeast: cold, heat, its own warmth, sugar, acid, alcohol, hunger; and where its model is extrapolated."""

from __future__ import annotations

from collections.abc import Iterator

from planner.document.batch import Batch, Feed
from planner.feeding.feeding_plan import ENOUGH, other_ways
from planner.feeding.limits import JOINT, Fed, ceilings, limits, nitrogen_of, within
from planner.feeding.nitrogen_feeds import as_weighed, day_now, last_day_to_feed
from planner.model.acidity import CARBONATES
from planner.model.constants import ETHANOL_DENSITY
from planner.model.hardship import BENZOIC_STOPS, by_acid, by_benzoic, undissociated
from planner.model.kinetics import SUGAR_STRESS, VALID_SUGAR, VALID_TEMPERATURE
from planner.model.liquid import STRONGEST, TARTARIC_PER_EQUIVALENT, concentration
from planner.recipe.house_rules import nutrient_objections
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Nutrient
from planner.timeline.actual_recipe import as_given
from planner.timeline.course import UNPLANNED, Expected
from planner.timeline.ferment_ph import given_by_feeds, ph_ahead
from planner.timeline.next_actions import TOO_LATE_TO_FEED
from planner.timeline.results import MustOutcome
from planner.timeline.self_warming import Warmth
from planner.wording import phrases
from planner.wording.finding import Finding, note, warning
from planner.wording.phrases import Words, literal, say

ABOVE_BEST = 2.0
"""How far above its best a must may warm itself without a word. [K] As far as its temperature is known at all."""

SLOWED = 0.9
"""Share of its usual pace below which it is said that sugar or acid slows the yeast. [-] Less is lost in other doubts."""

COOLER = 0.5
"""How much colder than by its present excess a room is advised to be. [K] A yeast brought back to its range works a little better."""

KEPT = 2.0
"""How far above the yeast's range a must that is kept at its temperature would warm itself without a word. [K] Estimate."""

HARD = 0.75
"""Share of its usual growth below which acid is a warning. [-] Estimate: about pH 2.8, at which teaching texts expect trouble."""

LOW_PH = 3.0
"""pH below which yeast is strained. [-] From 3 to 4 it makes no difference (Charoenchai 1998); 2.75 and 2.5 are clearly worse
(Liu et al. 2015)."""

LIKELY_LOW_PH = 3.25
"""Estimated pH of a must from which it may fall below `LOW_PH` while it ferments. [-] Common practice, no source: honey
buffers little, and pH falls by some tenths in the first days."""

VALID_NITROGEN = (0.070, 0.350)
"""Nitrogen for which growth and uptake were measured. [kg/m^3] Coleman et al. 2007: 70 to 350 mg/L."""

BICARBONATE, CARBONATE = "potassium-bicarbonate", "potassium-carbonate"
"""Keys of the salts that bring potassium and take acid away."""

LATE = 0.5
"""Days after the last useful feed from which one is said to be late. [d]"""


def yeast_findings(
    batch: Batch,
    catalogue: Catalogue,
    must: MustOutcome,
    ahead: Expected,
    warm: Warmth | None,
    is_finished: bool = False,
) -> tuple[Finding, ...]:
    """What strains the yeast of a must that ferments.

    Parameters
    ----------
    batch, catalogue, must, ahead, warm
        As those of `planner.evaluation.recipe_findings.recipe_findings`; there is a must and a course. [as there]
    is_finished : bool
        Whether the log shows that it finished: what it could have done counts no more. [-]
    """
    return (
        *(_warmth(batch, catalogue, warm) if warm is not None else ()),
        *_alcohol(batch, catalogue, ahead, is_finished),
        *_sugar(float(ahead.sugar[0, 0])),
        *_acid(must),
        *_acidity(batch, must, ahead.fall_of_ph),
        *_benzoic(batch, catalogue, must),
        *_potassium(batch, catalogue, must, ahead),
        *_feeds(batch, catalogue, ahead),
        *_step_feeds(batch, must, ahead),
        *_nitrogen(batch, catalogue, must, ahead),
        *_doses(batch, catalogue, must),
    )


def temperature_findings(batch: Batch, catalogue: Catalogue) -> Iterator[Finding]:
    """Planned temperatures against the yeast's range and the model's.

    Parameters
    ----------
    batch, catalogue
        As those of `yeast_findings`. [as there]
    """
    yeast = catalogue.yeast(batch.recipe.yeast.key)
    for index, step in enumerate(batch.recipe.temperatures):
        place, shown = f"recipe.temperatures.{index}", phrases.temperature(step.temperature)
        if step.temperature < yeast.t_low:
            yield warning(place, "{} is below this yeast's range, which begins at {}. It may stall, or not start at all. Warm it, or choose another yeast.",
                          shown, phrases.temperature(yeast.t_low))  # fmt: skip
        elif step.temperature > yeast.t_high:
            yield warning(place, "{} is above this yeast's range, which ends at {}. The yeast may stop early and leave off-flavours. Cool it, or choose another yeast.",
                          shown, phrases.temperature(yeast.t_high))  # fmt: skip
        if not VALID_TEMPERATURE[0] <= step.temperature <= VALID_TEMPERATURE[1]:
            yield note(place, "The curve is extrapolated: its model was measured from {} to {}.",
                       *(phrases.temperature(t) for t in VALID_TEMPERATURE))  # fmt: skip
    days = [step.day for step in batch.recipe.temperatures]
    if not days:
        yield note("recipe.temperatures", "No temperature is planned: {} is assumed.", phrases.temperature(UNPLANNED))
    elif days[0] > 0.0 or sorted(days) != days:
        yield note("recipe.temperatures", "Temperatures count in the order of their days, the first from pitching on.")


def _warmth(batch: Batch, catalogue: Catalogue, warm: Warmth) -> Iterator[Finding]:
    yeast, place = catalogue.yeast(batch.recipe.yeast.key), "recipe.temperatures"
    if warm.room > yeast.t_high:
        return  # the step itself says so
    over = warm.warmest - yeast.t_high - (0.0 if warm.in_room else KEPT)
    told = (phrases.temperature(warm.warmest), phrases.day(warm.day))
    if over > 0.0:
        begins = (
            "It should warm itself to about {}" if warm.in_room else "Unless it is cooled, it warms itself to about {}"
        )
        yield warning(place, begins + " by day {}, above this yeast's range, which ends at {}. The yeast may stop early and leave off-flavours. Use a room of {} or less, smaller vessels or a water bath.",
                      *told, phrases.temperature(yeast.t_high), phrases.temperature(yeast.t_high - warm.excess - COOLER))  # fmt: skip
    elif warm.in_room and warm.warmest > yeast.t_best + ABOVE_BEST and warm.room <= yeast.t_best + ABOVE_BEST:
        yield note(place, "It should warm itself to about {} by day {}: within this yeast's range, but above its best, {}.",
                   *told, phrases.temperature(yeast.t_best))  # fmt: skip
    if warm.warmest > VALID_TEMPERATURE[1]:
        yield note(place, "The curve is extrapolated above {}, to where its model was measured.",
                   phrases.temperature(VALID_TEMPERATURE[1]))  # fmt: skip


def _alcohol(batch: Batch, catalogue: Catalogue, ahead: Expected, is_finished: bool) -> Iterator[Finding]:
    yeast = catalogue.yeast(batch.recipe.yeast.key)
    possible = float(concentration(ahead.dry.member(0), "ethanol")) / ETHANOL_DENSITY
    if possible > yeast.tolerance.typical and not is_finished:
        yield warning("recipe.yeast", "Dry, this must would reach {}; this yeast stops near {}. Expect it to stay sweet.",
                      phrases.alcohol(possible), phrases.alcohol(yeast.tolerance.typical))  # fmt: skip
    if possible > STRONGEST:
        yield note("recipe", "The gravity if dry is of {}. The formula for it ends at {}, so take it as a rough figure.",
                   phrases.alcohol(possible), phrases.alcohol(STRONGEST))  # fmt: skip


def _sugar(sugar: float) -> Iterator[Finding]:
    """Of what the course begins with: a measured start goes before the recipe. [kg/m^3]"""
    growth = (SUGAR_STRESS[1] - sugar) / (SUGAR_STRESS[1] - SUGAR_STRESS[0])
    shown = phrases.concentration(sugar)
    if sugar > VALID_SUGAR[1]:
        yield warning("recipe", "{} of sugar is beyond the musts the model was measured on (up to {}). A strong must starts slowly and may stall. Pitch up to twice the usual yeast, or add some of the honey later.", shown,
                      phrases.concentration(VALID_SUGAR[1]))  # fmt: skip
    elif growth < SLOWED:
        yield note("recipe", "{} of sugar draws water from the yeast, which grows at about {} % of its usual pace. Up to twice the usual yeast helps.", shown, phrases.count(100.0 * growth))  # fmt: skip
    elif sugar < VALID_SUGAR[0]:
        yield note("recipe", "{} of sugar is below the musts the model was measured on (from {}), so the days are less certain.",
                   shown, phrases.concentration(VALID_SUGAR[0]))  # fmt: skip


def _acid(must: MustOutcome) -> Iterator[Finding]:
    if must.ph is None or float(by_acid(must.ph.typical)) >= SLOWED:
        return
    ph, ease, measured = must.ph.typical, float(by_acid(must.ph.typical)), "ph" in must.measured
    tell = warning if ease < HARD else note
    after = "" if measured else " Measure it, and log it."
    opening = "The pH is {}" if measured else "The pH is likely near {}"
    yield tell("recipe", opening + ". The yeast should then grow at about {} % of its pace, start later and tolerate less alcohol (an estimate). Use less of the sour juice, or a few grams of potassium bicarbonate." + after,
               phrases.ph(ph), phrases.count(100.0 * ease))  # fmt: skip


def _benzoic(batch: Batch, catalogue: Catalogue, must: MustOutcome) -> Iterator[Finding]:
    """Lingonberry and its kin hold a preservative of their own."""
    lines = zip(batch.recipe.fruits, must.juices, strict=True)
    brought = sum(catalogue.fruit(line.key).benzoic.typical * juice.typical for line, juice in lines)
    held, ph = brought / must.volume.typical, LOW_PH if must.ph is None else must.ph.typical
    ease = float(by_benzoic(held, ph))
    if ease < SLOWED:
        most = BENZOIC_STOPS.typical / 3.0 / float(undissociated(ph))
        yield warning("recipe.fruits", "The berries bring about {} of benzoic acid. It slows yeast to about {} % of its pace, or stops it. Use at most about {} of them, or three times the yeast. Or add the berries after a third of the sugar is used.",
                      phrases.trace(held), phrases.count(100.0 * ease), phrases.trace(most))  # fmt: skip


def _acidity(batch: Batch, must: MustOutcome, fall: float) -> Iterator[Finding]:
    """A pH that is easy on the yeast, but may not stay so."""
    measured = any(getattr(entry, "ph", None) is not None and not entry.excluded for entry in batch.log.readings)
    if must.ph is None or measured or float(by_acid(must.ph.typical)) < SLOWED:
        return
    if must.ph.typical < LIKELY_LOW_PH or must.ph.typical - fall < LOW_PH:
        yield note("recipe", "The pH is likely near {}, and about {} during the ferment. Below {} yeast starts late and may stop early. Measure the pH, and log it.",
                   *map(phrases.ph, (must.ph.typical, must.ph.typical - fall, LOW_PH)))  # fmt: skip


def _potassium(batch: Batch, catalogue: Catalogue, must: MustOutcome, ahead: Expected) -> Iterator[Finding]:
    """Whether potassium is there for the pH that the must comes to, and which carbonate brings it."""
    done = as_given(batch)
    found = ph_ahead(done, ahead.start, catalogue, ahead.fall_of_ph)
    if found is None or found.may_be_short is None:
        return
    gentler = (
        " An organic nutrient in place of ammonium sours it less."
        if given_by_feeds(done, catalogue).ammonium > 0.0
        else ""
    )
    room = must.volume.typical
    lack = found.short or found.may_be_short
    salts = [
        phrases.mass(as_weighed(lack.base * room / CARBONATES[key].equivalents))
        for key in (BICARBONATE, CARBONATE)
        if not nutrient_objections(batch.recipe.rules, catalogue.nutrient(key))
    ]
    last = last_day_to_feed(ahead.days, ahead.alcohol[:, 0], ahead.third_day)
    late = last is not None and day_now(batch, None) > last + LATE
    if found.short is None:
        if "ph" not in must.measured and not late:
            help_ = (
                f"{{}} of potassium bicarbonate, with the first feed, would help if it is near {{}}.{gentler}"
                if salts
                else gentler
            )
            figures = (salts[0], phrases.ph(found.at_pitching.low)) if salts else ()
            yield note("recipe", "At the low end of its estimate, the pH falls to about {} during the ferment and potassium runs short. Measure it. " + help_.strip(), phrases.ph(lack.ph), *figures)  # fmt: skip
        return
    opening = ("During the ferment the pH should fall to about {}. Yeast then needs {} of potassium, but the must holds about {}. It may stall. ")  # fmt: skip
    told = (phrases.ph(lack.ph), phrases.trace(lack.wanted), phrases.trace(lack.held))
    if not salts:
        yield warning("recipe.feeds", opening + "Use more water or less of the sour juice." + gentler, *told)
        return
    when = "even now, measured before and after" if late else "with the first feed"
    more = "" if lack.suffices else " More would be tasted: use more water or less of the sour juice for the rest."
    yield warning("recipe.feeds", opening + f"{{}} of potassium bicarbonate, or {{}} of the carbonate, {when}, keeps it near {{}} and "
                  f"takes {{}} of acid.{more}{gentler}", *told, *salts, phrases.ph(lack.helped),
                  phrases.concentration(lack.base * TARTARIC_PER_EQUIVALENT))  # fmt: skip


def _feeds(batch: Batch, catalogue: Catalogue, ahead: Expected) -> Iterator[Finding]:
    due = {moment.feed: moment.day for moment in ahead.feeds}
    last = last_day_to_feed(ahead.days, ahead.alcohol[:, 0], ahead.third_day)
    for index, feed in enumerate(batch.recipe.feeds):
        place = f"recipe.feeds.{index}"
        if index not in due:
            yield warning(place, "This feed never falls due: the ferment does not use {} of its sugar.",
                          phrases.share(feed.sugar_used or 0.0))  # fmt: skip
        elif last is not None and due[index] > last + LATE and catalogue.nutrient(feed.key).is_food:
            yield note(
                place,
                f"Day {{}} is late: feed by day {{}}. {TOO_LATE_TO_FEED}.",
                phrases.day(due[index]),
                phrases.day(last),
            )


def _step_feeds(batch: Batch, must: MustOutcome, ahead: Expected) -> Iterator[Finding]:
    """Additions that never fall due, and those that would go in at once because the must begins below their gravity."""
    due = {moment.feed: moment.day for moment in ahead.step_feeds}
    for index, line in enumerate(batch.recipe.step_feeds):
        place = f"recipe.step_feeds.{index}"
        if index not in due and line.mass > 0.0:
            until = phrases.share(line.sugar_used or 0.0) if line.gravity is None else phrases.gravity(line.gravity)
            what = "use {} of its sugar" if line.gravity is None else "fall to {}"
            yield warning(place, f"This never falls due: the ferment does not {what}.", until)
        elif line.day is None and line.gravity is not None and must.first.typical <= line.gravity:
            yield warning(place, "The must begins at {}, which is not above {}, so this goes in at once.",
                          phrases.gravity(must.first.typical), phrases.gravity(line.gravity))  # fmt: skip


def _nitrogen(batch: Batch, catalogue: Catalogue, must: MustOutcome, ahead: Expected) -> Iterator[Finding]:
    yeast = catalogue.yeast(batch.recipe.yeast.key)
    need = yeast.nitrogen_for(must.sugar_in_all.typical)
    fed = _fed(batch, catalogue)
    have = must.nitrogen.typical + nitrogen_of(fed) / must.volume.typical
    if have < 0.75 * need:
        last = last_day_to_feed(ahead.days, ahead.alcohol[:, 0], ahead.third_day)
        late = last is not None and day_now(batch, None) > last + LATE
        remedy = _TOO_LATE if late else _remedy(batch, catalogue, must, fed, need - have)
        yield warning("recipe.feeds", "With its feeds the must holds about {} of nitrogen, {} less than this yeast needs for its sugar. " + remedy.template, phrases.trace(have), phrases.trace(need - have),
                      *remedy.figures)  # fmt: skip
    elif have > 2.0 * need:
        yield note("recipe.feeds", "About {} of nitrogen is more than this yeast takes up ({}); what it leaves feeds spoilage. Feed less.",
                   phrases.trace(have), phrases.trace(need))  # fmt: skip
    if not VALID_NITROGEN[0] <= have <= VALID_NITROGEN[1]:
        yield note("recipe.feeds", "The curve is extrapolated: its model was measured with {} to {} of nitrogen.",
                   *(phrases.trace(bound) for bound in VALID_NITROGEN))  # fmt: skip


_TOO_LATE = say(f"Too late to feed. {TOO_LATE_TO_FEED}. Expect a slow end.")


def _fed(batch: Batch, catalogue: Catalogue) -> list[tuple[Feed, Nutrient]]:
    """The feeds that were given, and those that are planned beside them."""
    return [(feed, catalogue.nutrient(feed.key)) for feed in as_given(batch).feeds]


def _remedy(batch: Batch, catalogue: Catalogue, must: MustOutcome, fed: Fed, missing: float) -> Words:
    """What to do about nitrogen that is missing [kg/m^3]: feed it, as far as the limits and the house rules let it be fed."""
    foods = [row for row in catalogue.nutrients.values() if row.is_food]
    allowed = [row for row in foods if not nutrient_objections(batch.recipe.rules, row)]
    more = sum(within(allowed, missing, limits(catalogue), fed, must.volume.typical)[0])
    if more >= (1.0 - ENOUGH) * missing:
        return say("Feed it, or expect a slow end.")
    ways = other_ways(batch, catalogue, must.sugar_in_all.typical)
    bounds = "the limits and the house rules" if len(allowed) < len(foods) else "the limits"
    if more > 0.0:
        return say(f"Feeds within {bounds} bring {{}} of it. Expect a slow end. {ways.template}",
                   phrases.trace(more), *ways.figures)  # fmt: skip
    return say(f"No feed within {bounds} brings it. Expect a slow end. {ways.template}", *ways.figures)


def _doses(batch: Batch, catalogue: Catalogue, must: MustOutcome) -> Iterator[Finding]:
    for at in ceilings(limits(catalogue), _fed(batch, catalogue), must.volume.typical, frozenset()):
        if at.dose <= at.limit * (1.0 + 1e-9):
            continue
        shown = (phrases.trace(at.dose), phrases.trace(at.limit))
        if at.usual:
            yield note("recipe.feeds", literal(at.name) + ": the feeds come to {}, more than is usual. " + literal(at.note),
                       phrases.concentration(at.dose))  # fmt: skip
        elif at.name == JOINT:
            yield note("recipe.feeds", "Blends do not name their parts. These feeds may bring as much ammonium as {} of ammonium phosphate; the limit is {}. " + literal(at.note), *shown)  # fmt: skip
        else:
            yield warning("recipe.feeds", literal(at.name) + ": {} exceeds the legal limit of {}. " + literal(at.note), *shown)  # fmt: skip
