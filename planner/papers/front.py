"""The first page: how the batch stands, its curve, what goes in, and what is wanted of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Protocol

from planner.document.batch import Feed, FruitLine, HoneyLine, StepFeed
from planner.evaluation.outcome import Outcome
from planner.model.span import Span
from planner.papers.measures import figure_of
from planner.papers.tree import Beside, Block, Paragraph, Picture, Row, Section, Table, Text
from planner.planning.cost import cost
from planner.planning.task import Schedule
from planner.recipe.house_rules import NAMES
from planner.recipe.preparation import prepared
from planner.recipe.step_feeding import name_of
from planner.recipe.vessels import way
from planner.reference.catalogue import Catalogue
from planner.wording import phrases
from planner.wording.finding import Level
from planner.wording.phrases import Words, literal, say


def front(outcome: Outcome, shelf: Catalogue, plan: Schedule, curve: Picture | None) -> Iterator[Block]:
    """The blocks of the first page.

    Parameters
    ----------
    curve : Picture or None
        The fermentation curve, where there is one. [-]
    """
    told = outcome.headline
    yield Paragraph(told.sentence, "lead")
    yield Paragraph(say(f"Next: {told.next.template}", *told.next.figures), "next")
    for finding in outcome.findings:
        if finding.level is Level.ERROR:
            yield Paragraph(finding.text, "danger")
    if curve is not None:
        yield curve
    right = [Section("Targets", tuple(_targets(outcome)))]
    if outcome.must is not None:
        right.append(
            Section("To the bottle", (Table((), tuple(map(Row, _to_the_bottle(outcome, shelf))), (0.0, 1.0)),))
        )
    yield Beside((Section("Recipe", tuple(_recipe(outcome, shelf, plan))),), tuple(right))


# --- what goes in


class _Named(Protocol):
    @property
    def name(self) -> str: ...


def _recipe(outcome: Outcome, shelf: Catalogue, plan: Schedule) -> Iterator[Block]:
    recipe, log = outcome.batch.recipe, outcome.batch.log
    pitched = log.pitched_at is not None
    given = {task.key for task in plan.tasks if task.done}
    rows = [
        *((line.mass, _called(shelf.fruits, line.key) + _of_fruit(line), pitched) for line in recipe.fruits),
        *((line.mass, _called(shelf.honeys, line.key) + _of_honey(line), pitched) for line in recipe.honeys),
        *([(recipe.water, "Water", pitched)] if recipe.water > 0.0 else []),
        (recipe.yeast.pitch, f"{_called(shelf.yeasts, recipe.yeast.key)} (dry yeast)", pitched),
    ]
    table = [Row((say("{}", phrases.mass(mass)), name), done) for mass, name, done in rows]
    table += [
        Row(
            (say("{}", phrases.mass(feed.mass)), _due(feed, _called(shelf.nutrients, feed.key))),
            f"feed-{place}" in given,
        )
        for place, feed in enumerate(recipe.feeds)
    ]
    table += [
        Row((say("{}", phrases.mass(line.mass)), _due(line, name_of(line.key, shelf))), f"step-feed-{place}" in given)
        for place, line in enumerate(recipe.step_feeds)
    ]
    yield Table((), tuple(table), (0.0, 1.0), right=(0,))
    if any(not line.as_juice for line in recipe.fruits):
        yield Paragraph(say(f"Fruit {_prepared(outcome)}."), "small")
    if recipe.temperatures:
        yield Paragraph(_kept(outcome), "small")
    if recipe.vessel is not None:
        yield Paragraph(say("Vessel of {}.", phrases.volume(recipe.vessel)), "small")
    for line in outcome.batch.notes.splitlines():
        if line.strip():
            yield Paragraph(line, "small")


def _called(rows: Mapping[str, _Named], key: str) -> str:
    """What the shelf calls something; the key where it is not there."""
    return rows[key].name if key in rows else key


def _of_fruit(line: FruitLine) -> str:
    told = ["as juice" if line.as_juice else "", "weighed without stones, stems and cores" if line.stoned else ""]
    return "".join(f", {part}" for part in told if part)


def _of_honey(line: HoneyLine) -> str:
    return "" if line.moisture is None else ", water content measured"


def _due(line: Feed | StepFeed, name: str) -> Words:
    named = literal(name)
    if line.day is not None:
        return say(f"{named}, on day {{}}", phrases.day(line.day))
    if isinstance(line, StepFeed) and line.gravity is not None:
        return say(f"{named}, at a gravity of {{}}", phrases.gravity(line.gravity))
    if line.sugar_used is not None:
        return say(f"{named}, when {{}} of the sugar is used", phrases.share(line.sugar_used))
    return say(named)


def _prepared(outcome: Outcome) -> str:
    made = outcome.batch.recipe.preparation
    told = [
        "frozen and thawed" if made.frozen else "fresh",
        "with pectic enzyme" if made.enzyme else "without pectic enzyme",
        f"soaked cold for {made.soak:g} days" if made.soak > 0.0 and not made.whole else "",
        f"fermented on the fruit for {made.on_fruit:g} days, then pressed" if made.whole
        else "pressed before it ferments",
    ]  # fmt: skip
    return ", ".join(part for part in told if part)


def _kept(outcome: Outcome) -> Words:
    recipe = outcome.batch.recipe
    first, *later = sorted(recipe.temperatures, key=lambda step: step.day)
    begin = "In a room of {}" if recipe.in_room else "Keep the must at {}"
    figures = [phrases.temperature(first.temperature)]
    for step in later:
        begin += ", from day {} at {}"
        figures += [phrases.day(step.day), phrases.temperature(step.temperature)]
    return say(f"{begin}.", *figures)


# --- what is wanted of it


def _targets(outcome: Outcome) -> Iterator[Block]:
    wish, rules = outcome.batch.recipe.wish, outcome.batch.recipe.rules
    cells = [row for row in _compared(outcome) if any(row[1:])]
    ahead = "Forecast" if _is_logged(outcome) else "Expected"
    if any(row[1] for row in cells):
        yield Table(("", "Target", ahead), tuple(map(Row, cells)), (0.0, 1.0, 1.9))
    else:
        yield Table(("No target set", ahead), tuple(Row((row[0], row[2])) for row in cells), (1.0, 1.4))
    if wish.left_open:
        yield Paragraph(f"Left open: {' and '.join(wish.left_open)}.", "small")
    if rules.alcohol_ceiling is not None:
        yield Paragraph(say("House rule: not above {}.", phrases.alcohol(rules.alcohol_ceiling)), "small")


def _is_logged(outcome: Outcome) -> bool:
    return outcome.posterior is not None and outcome.posterior.now is not None


def _compared(outcome: Outcome) -> Iterator[tuple[Text, Text, Text]]:
    """What is compared, what is wanted and what is foreseen; nothing where there is none."""
    wish, must, finish, mead = outcome.batch.recipe.wish, outcome.must, outcome.finish, outcome.mead
    log = outcome.posterior if _is_logged(outcome) else None
    after = None if mead is None else mead.after
    start = None if must is None else must.gravity
    if outcome.starting_gravity is not None:
        start = Span.exactly(outcome.starting_gravity)
    end = strength = day = acid = None
    if finish is not None:
        end, strength, day, acid = finish.gravity, finish.alcohol, finish.day, finish.acid
        if log is not None:  # as everywhere, the log's own forecast is told rather than the recipe's
            end, strength = log.finish_gravity, log.finish_alcohol
            day = None if log.held else log.finish_day
    yield "Must", _exactly(wish.volume, "volume"), _figure(None if must is None else must.volume, "volume")
    yield "Starting gravity", _exactly(wish.gravity, "gravity"), _figure(start, "gravity")
    yield "Finishing gravity", _exactly(wish.finish, "gravity"), _figure(end, "gravity")
    yield "Strength", _exactly(wish.alcohol, "alcohol"), _figure(strength, "alcohol")
    sweet = None if after is None else after.sweetness
    yield "Sweetness", _exactly(wish.sweetness, "concentration"), _figure(sweet, "concentration")
    acid = acid if after is None else after.acid
    yield "Acid, as tartaric", _exactly(wish.acid, "concentration"), _figure(acid, "concentration")
    yield "Body", _exactly(wish.body, "viscosity"), _figure(None if after is None else after.viscosity, "viscosity")
    yield "Stops", "", _figure(day, "day")


def _exactly(value: float | None, kind: str) -> Text:
    return "" if value is None else figure_of(Span.exactly(value), kind)


def _figure(span: Span | None, kind: str) -> Text:
    return "" if span is None else figure_of(span, kind)


# --- what becomes of it


def _to_the_bottle(outcome: Outcome, shelf: Catalogue) -> Iterator[tuple[Text, Text]]:
    """What the fruit gives, what it takes to hold it, how many bottles there will be, and what each costs."""
    batch, must = outcome.batch, outcome.must
    assert must is not None
    made = prepared(batch, shelf)
    on_the_way = way(
        batch, shelf, must.volume.typical, None if outcome.mead is None else outcome.mead.after.volume.typical
    )
    if made.fruit > 0.0:
        yield "Juice", say("{}, {} of it without the press", phrases.mass(made.juice), phrases.mass(made.free_run))
    if made.loads is not None:
        yield "Press loads", say("{}", phrases.count(made.loads.number))
    yield "Fermenter", say("{} or more", phrases.volume(on_the_way.fermenter))
    if on_the_way.bottles:
        figures = [one for b in on_the_way.bottles for one in (phrases.count(b.number), phrases.volume(b.size))]
        yield (
            "Bottles",
            say(
                " and ".join("{} bottles of {}" if b.number != 1 else "{} bottle of {}" for b in on_the_way.bottles),
                *figures,
            ),
        )
    spent = cost(batch, sum(b.number for b in on_the_way.bottles))
    if spent is not None and spent.per_bottle is not None:
        missing = f"; {len(spent.unpriced)} prices are missing" if spent.unpriced else ""
        yield "Cost", say(f"{spent.per_bottle:.2f} {literal(batch.recipe.prices.currency)} a bottle{missing}")
    rules = [name for field, name in NAMES.items() if field != "alcohol_ceiling" and getattr(batch.recipe.rules, field)]
    if rules:
        yield "House rules", ", ".join(rules)
