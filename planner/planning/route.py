"""What every route has in common: what is wanted of it, its must, what is stirred in, and how it is told."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, NamedTuple

import msgspec

from planner.adjusting import dose
from planner.adjusting.dosing import weighable
from planner.adjusting.mead import Mead
from planner.adjusting.refermentation_risk import Stillness, stillness
from planner.document.batch import Addition, Adjustment, Batch, Wish
from planner.evaluation.outcome import Outcome, evaluate
from planner.model.components import COMPONENTS
from planner.model.guards import BadInput
from planner.model.liquid import Liquid, alcohol
from planner.model.span import Span
from planner.model.sweetness import sucrose_equivalent
from planner.planning.balance import End, Parts, Point, ended, groups, parts, solve
from planner.planning.cost import Cost, cost
from planner.planning.schedule import days_to_bottle
from planner.planning.solve import with_amounts
from planner.recipe.house_rules import LeftOut, nutrient_objections, offered, strength_objections
from planner.recipe.vessels import way
from planner.reference.catalogue import Catalogue
from planner.reference.rows import Additive, Yeast
from planner.wording import phrases
from planner.wording.phrases import Words, literal, say

USUAL_STRENGTH = 0.12
"""Wanted where neither wish nor ceiling says so. [m^3/m^3] Common practice, no source."""

USUAL_SWEETNESS = 30.0
"""Wanted where the wish does not say. [kg/m^3] Half sweet; common practice, no source."""

MARGIN = 0.005
"""By how much a yeast should bear more than is wanted, to end dry. [m^3/m^3] Estimate."""

RELUCTANT = {"xylitol": 3.0, "sorbitol": 3.0, "lactose": 3.0, "allulose": 1.3}
"""How a kilogram of a sweetener counts that endangers dogs, guts or those who do not bear milk, or that is not permitted
everywhere; others count 1. [1/kg] Estimate."""

BODIES = ("glycerol", "maltodextrin-5", "gum-arabic")
"""What may give body where the sweetness does not; yeast takes next to nothing of it."""


DRY_END = End("dry", 1.0)
"""A ferment that leaves nothing."""


class RoutePlan(NamedTuple):
    """What is wanted of every route alike: [m^3/m^3], [kg/m^3], [Pa s], the amounts that may be worked out, [m^3], [kg/m^3]."""

    alcohol: float
    sweetness: float
    body: float | None
    unknown: tuple[str, ...]
    volume: float | None
    acid: float | None = None
    usual: tuple[str, ...] = ()
    """What of it nobody wished: "alcohol" or "sweetness", which are then the usual ones."""
    gravity: float | None = None
    """Starting gravity that every route keeps, which then settles the strength; None where strength settles it. [-]"""


class Route(msgspec.Struct, frozen=True, eq=False):
    """One way to the glass, worked out.

    Attributes
    ----------
    key, name : str
        By which it is known, and what it is called.
    steps : tuple of Words
        What is done, in order.
    batch : Batch or None
        The batch of this route, as it would be taken over; None where there is no way, and `cannot` says why.
    outcome : Outcome or None
        What `evaluate` makes of it.
    honey : float
        All of it, in must and mead. [kg]
    yeast : str
        Name of the yeast that fits.
    starting_gravity, finish, alcohol, sweetness, viscosity, acid : Span or None
        Of the must; of the mead in the glass. [-], [-], [m^3/m^3], [kg/m^3], [Pa s], [kg/m^3]
    days : Span or None
        From pitching to the bottle. [d]
    cost : Cost or None
        By the user's prices.
    still : Stillness or None
        Whether it may ferment again.
    notes : tuple of Words
        What else to know.
    against : tuple of Words
        Which house rules it breaks; empty if none.
    left_out : tuple of LeftOut
        What rules kept it from using.
    cannot : Words or None
        Why there is no such route here.
    """

    key: str
    name: str
    steps: tuple[Words, ...]
    batch: Batch | None = None
    outcome: Outcome | None = None
    honey: float = 0.0
    yeast: str = ""
    starting_gravity: Span | None = None
    finish: Span | None = None
    alcohol: Span | None = None
    sweetness: Span | None = None
    viscosity: Span | None = None
    days: Span | None = None
    cost: Cost | None = None
    still: Stillness | None = None
    notes: tuple[Words, ...] = ()
    against: tuple[Words, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    cannot: Words | None = None
    acid: Span | None = None

    @property
    def is_open(self) -> bool:
        """Whether it can be gone and no house rule is against it."""
        return self.batch is not None and not self.against


class NoWay(Exception):  # noqa: N818  raised and caught in this room only
    """There is no such route here; its words say why."""

    def __init__(self, why: Words) -> None:
        super().__init__(str(why))
        self.why = why


def beyond(failure: BadInput) -> Words:
    """Why there is no route where a formula refuses what it was asked."""
    return say(f"This cannot be worked out: {literal(str(failure))}")


def planned(batch: Batch) -> RoutePlan:
    """What a batch's wish and rules ask of every route; what they do not say is the usual."""
    wish: Wish = batch.recipe.wish
    ceiling = batch.recipe.rules.alcohol_ceiling
    strength = wish.alcohol if wish.alcohol is not None else ceiling if ceiling is not None else USUAL_STRENGTH
    if ceiling is not None:
        strength = min(strength, ceiling)
    sweet = USUAL_SWEETNESS if wish.sweetness is None else wish.sweetness
    sized = wish.volume is not None
    present = {"water", *(name for name, lines in groups(batch).items() if lines)}
    other = (
        next((n for n in ("water", "fruit", "juice") if n in wish.left_open and n in present), None) if sized else None
    )
    unknown = ("honey",) if other is None else ("honey", other)
    usual = tuple(
        name
        for name, given in (
            ("alcohol", next((given for given in (wish.gravity, wish.alcohol, ceiling) if given is not None), None)),
            ("sweetness", wish.sweetness),
        )
        if given is None
    )
    volume = wish.volume if other is not None else None
    return RoutePlan(strength, sweet, wish.body, unknown, volume, wish.acid, usual, wish.gravity)


def settled(batch: Batch, catalogue: Catalogue, plan: RoutePlan) -> RoutePlan:
    """The plan with the strength that a must of the wished starting gravity comes to.

    Raises
    ------
    NoWay
        No must of this fruit and honey has that gravity.
    """
    if plan.gravity is None:
        return plan
    brought = parts(dry_must(batch, catalogue, plan, plan.alcohol), catalogue)
    return plan._replace(alcohol=float(alcohol(ended(brought.must(brought.present) + brought.later, DRY_END, 0.0))))


# --- the musts


def wanted_of(plan: RoutePlan, **more: float) -> dict[str, float]:
    """The targets of a plan: those given, and the volume where one is wished. [as the targets of `balance`]"""
    return more | ({"volume": plan.volume} if plan.volume is not None else {})


def fixed_of(brought: Parts, plan: RoutePlan) -> dict[str, float]:
    """The amounts that a plan does not open. [kg]"""
    return {name: mass for name, mass in brought.present.items() if name not in plan.unknown}


def dry_must(batch: Batch, catalogue: Catalogue, plan: RoutePlan, strength: float) -> Batch:
    """The batch whose must ferments dry to a strength by volume. [m^3/m^3]"""
    brought = parts(batch, catalogue)
    fixed = fixed_of(brought, plan)
    wanted = {"alcohol": strength} if plan.gravity is None else {"gravity": plan.gravity}
    point = solve(brought, fixed, plan.unknown, wanted_of(plan, **wanted), DRY_END, patient=True)
    asked = phrases.alcohol(strength) if plan.gravity is None else phrases.gravity(plan.gravity)
    return with_amounts(batch, _checked(point, plan, asked))


def _checked(point: Point | None, plan: RoutePlan, asked: phrases.Figure) -> dict[str, float]:
    """The open amounts of a solution that can be weighed."""
    if point is None:
        raise NoWay(say("No must of this fruit and honey reaches {}.", asked))
    amounts = {name: point.amounts[name] for name in plan.unknown}
    if amounts["honey"] < -1e-6:
        raise NoWay(say("Even without honey this must exceeds {}. Add water, or raise the target.", asked))
    if min(amounts.values()) < -1e-6:
        raise NoWay(
            say("The fruit and its honey fill more than the target volume. Use less fruit, or raise the volume.")
        )
    return amounts


def yeast_for(batch: Batch, catalogue: Catalogue, strength: float) -> Yeast:
    """The recipe's yeast where it bears a strength by volume, or else the one that bears just enough. [m^3/m^3]"""
    own = catalogue.yeast(batch.recipe.yeast.key)
    if own.tolerance.typical >= strength + MARGIN:
        return own
    enough = [row for row in catalogue.yeasts.values() if row.tolerance.typical >= strength + MARGIN]
    if not enough:
        raise NoWay(say("No yeast of the shelf tolerates {}.", phrases.alcohol(strength)))
    return min(enough, key=lambda row: row.tolerance.typical)


def bears(catalogue: Catalogue, strength: float) -> bool:
    """Whether any yeast of the shelf ends dry at a strength by volume. [m^3/m^3]"""
    return any(row.tolerance.typical >= strength + MARGIN for row in catalogue.yeasts.values())


def with_yeast(batch: Batch, row: Yeast) -> Batch:
    """The batch with another yeast, pitched as before. [as its fields]"""
    yeast = msgspec.structs.replace(batch.recipe.yeast, key=row.key)
    return msgspec.structs.replace(batch, recipe=msgspec.structs.replace(batch.recipe, yeast=yeast))


def yeast_notes(row: Yeast, strength: float) -> tuple[Words, ...]:
    """What to know of a yeast where so much alcohol by volume is wanted. [m^3/m^3]"""
    if row.tolerance.low < strength:
        return (say("This yeast may stop from {} on, before the mead is dry.", phrases.alcohol(row.tolerance.low)),)
    return ()


# --- from dry mead to the glass


Planned = Literal["", "salts", "heat"]
"""What a route plans to keep yeast from working."""


def finished(batch: Batch, additions: tuple[Addition, ...], stabilising: Planned = "") -> Batch:
    """The batch with a mead adjusted by nothing but these additions. [as its fields]"""
    adjustment = Adjustment(additions=additions, stabilising=stabilising,
                            serving_temperature=batch.adjustment.serving_temperature)  # fmt: skip
    return msgspec.structs.replace(batch, adjustment=adjustment)


def doses(
    liquid: Liquid, plan: RoutePlan, keys: tuple[str, ...], catalogue: Catalogue, sweet: bool
) -> tuple[Addition, ...]:
    """What to stir in for the wished sweetness and body."""
    wanted = []
    if sweet:
        wanted.append(
            dose.Bound("sweetness", low=plan.sweetness, high=max(plan.sweetness, float(sucrose_equivalent(liquid))))
        )
    if plan.body is not None:
        wanted.append(dose.Bound("viscosity", low=plan.body))
    if not wanted or not keys:
        return ()
    found = dose.find(liquid, wanted, keys, catalogue, cost=RELUCTANT).additions
    weighed = (msgspec.structs.replace(one, mass=weighable(one.mass)) for one in found)
    return tuple(one for one in weighed if one.mass > 0.0)


def stays(row: Additive) -> bool:
    """Whether yeast takes nothing of a sweetener."""
    return row.group == "sweetener" and all(COMPONENTS[key].hexose == 0.0 for key, _ in row.composition)


def mead_from(batch: Batch, catalogue: Catalogue, members: int) -> Mead:
    """The mead that a batch comes to.

    Parameters
    ----------
    members : int
        Members of the ensemble. [-]

    Raises
    ------
    NoWay
        There is nothing to ferment.
    """
    made = evaluate(batch, catalogue, members).mead
    if made is None:
        raise NoWay(say("There is nothing to ferment."))
    return made


def allowed_bodies(batch: Batch, catalogue: Catalogue, plan: RoutePlan) -> tuple[tuple[str, ...], tuple[LeftOut, ...]]:
    """Keys of what may give body, and what the rules leave out; nothing where no body is wished. [-]"""
    if plan.body is None:
        return (), ()
    kept, out = offered(batch.recipe.rules, (catalogue.additive(key) for key in BODIES))
    return tuple(row.key for row in kept), out


def dry_then(
    batch: Batch, catalogue: Catalogue, plan: RoutePlan, sweeteners: tuple[str, ...], stabilising: Planned = ""
) -> tuple[Batch, Yeast]:
    """Dry to a strength that the additions thin down to the one wished, then sweetened."""
    bodies, _ = allowed_bodies(batch, catalogue, plan)
    strength = plan.alcohol
    for _ in range(4):
        if strength > plan.alcohol and not bears(catalogue, strength):
            raise NoWay(say("With these feeds and temperatures this must ends below {}, with sugar left. Check the yeast, its pitch and its feeds.", phrases.alcohol(plan.alcohol)))  # fmt: skip
        row = yeast_for(batch, catalogue, strength)
        start = with_yeast(dry_must(batch, catalogue, plan, strength), row)
        done = mead_from(finished(start, ()), catalogue, 0)
        additions = doses(done.base.member(0), plan, sweeteners + bodies, catalogue, bool(sweeteners))
        made = finished(start, additions, stabilising)
        reached = mead_from(made, catalogue, 0).after.alcohol.typical
        if reached < 0.5 * plan.alcohol:
            raise NoWay(say("Without a good ferment this must does not reach {}. Check the yeast, its pitch and its feeds.",
                            phrases.alcohol(plan.alcohol)))  # fmt: skip
        if plan.gravity is not None or abs(reached - plan.alcohol) < 2e-4 or row.tolerance.typical < strength:
            break
        strength *= plan.alcohol / reached
    return made, row


def told(
    key: str,
    name: str,
    made: Batch,
    catalogue: Catalogue,
    members: int,
    steps: tuple[Words, ...],
    against: tuple[Words, ...],
    *,
    notes: tuple[Words, ...] = (),
    left_out: tuple[LeftOut, ...] = (),
    days: Callable[[Outcome], Span] | None = None,
    glass: Mead | None = None,
) -> Route:
    """A route from its batch, everything by `evaluate`.

    Parameters
    ----------
    members : int
        Members of the ensemble. [-]
    days : callable or None
        Days to the bottle from the outcome [d]; None for those of a ferment that is left to rest.
    glass : Mead or None
        What is in the glass, where that is not what `evaluate` ends with. [as its fields]

    Raises
    ------
    NoWay
        There is nothing to ferment.
    """
    outcome = evaluate(made, catalogue, members)
    shown = glass or outcome.mead
    if shown is None or outcome.must is None or outcome.finish is None:
        raise NoWay(say("There is nothing to ferment."))
    row = catalogue.yeast(made.recipe.yeast.key)
    after = shown.after
    rules = made.recipe.rules
    bottles = sum(b.number for b in way(made, catalogue, outcome.must.volume.typical, after.volume.typical).bottles)
    food = {feed.key for feed in made.recipe.feeds}
    fed = tuple(LeftOut(catalogue.nutrient(key).name, why) for key in sorted(food)
                for why in nutrient_objections(rules, catalogue.nutrient(key))[:1])  # fmt: skip
    honey = sum(line.mass for line in made.recipe.honeys)
    honey += sum(a.mass for a in made.adjustment.additions if a.key == "honey")
    lasts = days(outcome) if days else Span(*(days_to_bottle(day) for day in outcome.finish.day))
    return Route(
        key, name, steps, made, outcome, honey, row.name, outcome.must.gravity, after.gravity, after.alcohol,
        after.sweetness, after.viscosity, lasts, cost(made, bottles),
        stillness(shown, row.tolerance, bool(made.adjustment.stabilising)), notes,
        (*against, *strength_objections(rules, after.alcohol.typical)), (*left_out, *fed), acid=after.acid,
    )  # fmt: skip
