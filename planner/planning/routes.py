"""Routes compared: several ways to the same sweetness, body and strength, each worked out as a batch of its own."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

import msgspec
import numpy as np

from planner.adjusting.bottle_safety import COLD_NOTE, HEATED_STEP, heat_caution, heating, together
from planner.adjusting.dosing import weighable
from planner.adjusting.mead import mead
from planner.adjusting.stabilisation_methods import UNKNOWN_PH, sulphite_dose
from planner.document.batch import Addition, Adjustment, Batch, TemperatureStep
from planner.document.shelf import shelf_of
from planner.evaluation.outcome import evaluate
from planner.evaluation.recipe_findings import unknown_keys
from planner.model import random_scores, sorbate
from planner.model.guards import BadInput
from planner.model.liquid import Liquid, gravity
from planner.model.span import Span
from planner.model.sweetness import sucrose_equivalent
from planner.planning.balance import End, Point, ended, parts, solve
from planner.planning.route import (
    NoWay,
    Route,
    RoutePlan,
    allowed_bodies,
    beyond,
    doses,
    dry_must,
    dry_then,
    finished,
    fixed_of,
    mead_from,
    planned,
    settled,
    stays,
    told,
    wanted_of,
    with_yeast,
    yeast_for,
    yeast_notes,
)
from planner.planning.routes_in_progress import is_made, routes_from_here
from planner.planning.solve import with_amounts, with_honey_line
from planner.recipe.house_rules import HEAT, SORBATE, SULPHITE, offered, treatment_objections
from planner.recipe.must import must
from planner.reference.catalogue import Catalogue
from planner.wording import phrases
from planner.wording.phrases import Words, in_a_sentence, say

MEMBERS = 60
"""Members of each route's ensemble: enough for spans to compare by. [-]"""

CRASH = 275.15
"""To which a ferment is chilled to stop it. [K] Common practice, no source: near freezing."""

SETTLES = 14.0
"""Days in that cold until the yeast has settled. [d] Common practice, no source."""


def each_route(batch: Batch, catalogue: Catalogue, members: int | None = None) -> Iterator[Route]:
    """The same, one by one as they are worked out.

    Parameters
    ----------
    members : int, optional
        Members of each route's ensemble. [-]

    Yields
    ------
    Route
        In no order. [as its fields]
    """
    catalogue = shelf_of(batch, catalogue)
    if is_made(batch) and not unknown_keys(batch, catalogue):
        yield from routes_from_here(
            batch, catalogue, planned(batch), random_scores.MEMBERS if members is None else members
        )
        return
    members = MEMBERS if members is None else members
    ready = with_honey_line(batch)
    plan = planned(ready)
    ways: tuple[tuple[str, str, Callable[[Batch, Catalogue, RoutePlan, int], Route]], ...] = (
        ("dry-sweetener", "Dry, then a sweetener that yeast leaves", _unfermentable),
        ("dry-glass", "Bottle it dry, sweeten in the glass", _in_the_glass),
        ("limit", "Let the yeast stop at its limit", _limit),
        ("dry-heat", "Dry, then honey, then pasteurise", _heated),
        ("dry-stabilised", "Dry, stabilise, then honey", _stabilised),
        ("cold", "Chill to stop it, keep it cold", _stopped),
    )
    strange = unknown_keys(batch, catalogue)
    if strange:
        yield from (Route(key, name, (), cannot=strange[0].text) for key, name, _ in ways)
        return
    for key, name, work in ways:
        try:
            route = work(ready, catalogue, settled(ready, catalogue, plan), members)
        except NoWay as failure:
            route = Route(key, name, (), cannot=failure.why)
        except BadInput as failure:  # musts that no one makes, beyond what a formula holds for
            route = Route(key, name, (), cannot=beyond(failure))
        yield route


def ordered(found: Iterable[Route]) -> tuple[Route, ...]:
    """Those that can be gone and obey first, then by the risk of a second fermentation."""
    return tuple(sorted(found, key=lambda route: (route.batch is None, bool(route.against), _risk(route))))


def _risk(route: Route) -> int:
    return -1 if route.still is None else int(route.still.risk)


# --- the routes


def _unfermentable(batch: Batch, catalogue: Catalogue, plan: RoutePlan, members: int) -> Route:
    kept, out = offered(batch.recipe.rules, (row for row in catalogue.additives.values() if stays(row)))
    if not kept:
        raise NoWay(say("The house rules allow no sweetener that yeast leaves."))
    made, row = dry_then(batch, catalogue, plan, tuple(a.key for a in kept))
    _, bodies_out = allowed_bodies(batch, catalogue, plan)
    return told(
        "dry-sweetener", "Dry, then a sweetener that yeast leaves", made, catalogue, members,
        (say("Ferment it dry, and confirm that by a sugar test."), say("Rack it, and let it clear."), *_stir_in(made, catalogue)), (),
        notes=yeast_notes(row, plan.alcohol), left_out=(*out, *bodies_out),
    )  # fmt: skip


def _stir_in(made: Batch, catalogue: Catalogue) -> tuple[Words, ...]:
    return tuple(
        say(f"Stir in {{}} of {in_a_sentence(catalogue.additive(a.key).name)}.", phrases.mass(a.mass))
        for a in made.adjustment.additions
    )


def _in_the_glass(batch: Batch, catalogue: Catalogue, plan: RoutePlan, members: int) -> Route:
    row = yeast_for(batch, catalogue, plan.alcohol)
    start = with_yeast(dry_must(batch, catalogue, plan, plan.alcohol), row)
    dry = mead_from(finished(start, ()), catalogue, 0)
    bodies, out = allowed_bodies(batch, catalogue, plan)
    every = doses(dry.base.member(0), plan, ("honey", *bodies), catalogue, sweet=True)
    in_bottle = tuple(a for a in every if a.key != "honey")
    honey = sum(a.mass for a in every if a.key == "honey")
    glass = mead_from(finished(start, every), catalogue, members).after
    bottled = told(
        "dry-glass", "Bottle it dry, sweeten in the glass", finished(start, in_bottle), catalogue, members,
        (
            say("Ferment it dry, and confirm that by a sugar test."), *_stir_in(finished(start, in_bottle), catalogue),
            say("Bottle it dry."),
            say("Sweeten when it is served: {} of honey in a glass of 150 mL.",
                phrases.mass(honey / glass.volume.typical * 0.15e-3)),
        ), (), notes=yeast_notes(row, plan.alcohol), left_out=out,
    )  # fmt: skip
    return msgspec.structs.replace(bottled, honey=bottled.honey + honey, finish=glass.gravity, alcohol=glass.alcohol,
                   sweetness=glass.sweetness, viscosity=glass.viscosity)  # fmt: skip


def _heated(batch: Batch, catalogue: Catalogue, plan: RoutePlan, members: int) -> Route:
    made, row = dry_then(batch, catalogue, plan, ("honey",), "heat")
    return told(
        "dry-heat", "Dry, then honey, then pasteurise", made, catalogue, members,
        (say("Ferment it dry, rack it, and let it clear."), *_stir_in(made, catalogue),
         say(HEATED_STEP), *heating()),
        treatment_objections(batch.recipe.rules, HEAT),
        notes=(*yeast_notes(row, plan.alcohol), together(say("Heat costs some aroma."), heat_caution())),
    )  # fmt: skip


def _stabilised(batch: Batch, catalogue: Catalogue, plan: RoutePlan, members: int) -> Route:
    made, row = dry_then(batch, catalogue, plan, ("honey",), "salts")
    done = mead_from(made, catalogue, 0)
    acidity = done.ph or UNKNOWN_PH
    _, powder = sulphite_dose(done, acidity)
    salt = sorbate.usual_dose(acidity.typical, done.after.volume.typical)
    with_salts = (
        Addition(key="potassium-metabisulphite", mass=weighable(powder.typical)),
        Addition(key="potassium-sorbate", mass=weighable(salt.typical)),
    )  # fmt: skip
    made = finished(made, (*with_salts, *made.adjustment.additions), "salts")
    return told(
        "dry-stabilised", "Dry, stabilise, then honey", made, catalogue, members,
        (say("Ferment it dry, rack it, and let it clear."), *_stir_in(made, catalogue)),
        treatment_objections(batch.recipe.rules, SULPHITE, SORBATE),
        notes=(*yeast_notes(row, plan.alcohol),
               say("These doses are for a pH of {}. Measure the pH, which decides them. Local rules set the limits.", phrases.ph(acidity.typical))),
    )  # fmt: skip


def _limit(batch: Batch, catalogue: Catalogue, plan: RoutePlan, members: int) -> Route:
    """Honey until the yeast gives up and leaves the wished sweetness; its own limit is what is uncertain here."""
    from scipy.optimize import brentq

    if plan.gravity is not None:
        raise NoWay(say("It needs its own starting gravity; you set {}.", phrases.gravity(plan.gravity)))
    ceiling = batch.recipe.rules.alcohol_ceiling
    fitting = [r for r in catalogue.yeasts.values() if ceiling is None or r.tolerance.typical <= ceiling + 1e-9]
    if not fitting:
        raise NoWay(say("Every yeast of the shelf exceeds {}.", phrases.alcohol(ceiling or 0.0)))
    row = min(fitting, key=lambda r: abs(r.tolerance.typical - plan.alcohol))
    start = with_yeast(batch, row)
    brought = parts(start, catalogue)
    base = dry_must(start, catalogue, plan, row.tolerance.typical)
    least = _honey_in(base)

    def with_honey(mass: float) -> Batch:
        if plan.volume is None or len(plan.unknown) == 1:
            return with_amounts(start, {"honey": mass})
        fixed = fixed_of(brought, plan) | {"honey": mass}
        point = solve(brought, fixed, plan.unknown[1:], {"volume": plan.volume}, End("dry", 1.0))
        if point is None or min(point.amounts.values()) < -1e-6:
            raise NoWay(say("The fruit and this much honey fill more than the target volume."))
        return with_amounts(start, {"honey": mass} | {name: point.amounts[name] for name in plan.unknown[1:]})

    def too_sweet(mass: float) -> float:
        return mead_from(finished(with_honey(mass), ()), catalogue, 0).after.sweetness.typical - plan.sweetness

    most = least
    for _ in range(12):
        most = 1.15 * most + 0.02 * sum(brought.present.values()) + 1e-3
        if too_sweet(most) >= 0.0:
            break
    else:
        raise NoWay(say("No reasonable amount of honey makes this yeast leave this much sweetness."))
    honey = least if too_sweet(least) >= 0.0 else brentq(too_sweet, least, most, xtol=1e-3 * max(most, 0.1), maxiter=20)
    made = with_honey(float(honey))
    bodies, out = allowed_bodies(batch, catalogue, plan)
    done = mead_from(finished(made, ()), catalogue, 0)
    made = finished(made, doses(done.base.member(0), plan, bodies, catalogue, sweet=False))
    low, _, high = row.tolerance
    return told(
        "limit", "Let the yeast stop at its limit", made, catalogue, members,
        (say("Stir in all of the honey before the yeast: {}, for a must of {}.", phrases.mass(_honey_in(made)),
             phrases.gravity(float(gravity(must(made, catalogue, 0).liquid)[0]))),
         say("Keep it for weeks at the warm end of the yeast's range. What the yeast leaves there, it leaves for good."),
         *_stir_in(made, catalogue)), (),
        notes=(say("The strain decides: it may stop anywhere from {} to {}, and the sweetness with it.", phrases.alcohol(low),
                   phrases.alcohol(high)),
               say("Honey given in parts spares the yeast, but recipe and curve count all of it at the start.")), left_out=out,
    )  # fmt: skip


def _honey_in(made: Batch) -> float:
    """Honey of the must. [kg]"""
    return sum(line.mass for line in made.recipe.honeys)


def _stopped(batch: Batch, catalogue: Catalogue, plan: RoutePlan, members: int) -> Route:
    """Sugar left where the cold stops it: strength and sweetness settle the honey."""
    from scipy.optimize import brentq

    if plan.gravity is not None:
        raise NoWay(say("It needs its own starting gravity; you set {}.", phrases.gravity(plan.gravity)))
    row = yeast_for(batch, catalogue, plan.alcohol)
    start = with_yeast(batch, row)
    brought = parts(start, catalogue)
    end = End("stopped", row.tolerance.typical)
    other = plan.unknown[1:] if plan.volume is not None else ()

    def at(mass: float) -> Point | None:
        fixed = fixed_of(brought, plan) | {"honey": mass}
        return solve(brought, fixed, other, wanted_of(plan, alcohol=plan.alcohol), end)

    def liquid(point: Point) -> Liquid:
        return ended(brought.must(point.amounts) + brought.later, end, point.left)

    def too_sweet(mass: float) -> float:
        point = at(mass)
        return -plan.sweetness if point is None else float(sucrose_equivalent(liquid(point))) - plan.sweetness

    least = sum(line.mass for line in dry_must(start, catalogue, plan, plan.alcohol).recipe.honeys) * 1.002 + 1e-4
    most = 1.3 * least + 0.2 * sum(brought.present.values())
    if not too_sweet(least) < 0.0 < too_sweet(most):
        raise NoWay(say("Stopped at {}, this must does not reach that sweetness.", phrases.alcohol(plan.alcohol)))
    point = at(float(brentq(too_sweet, least, most, xtol=1e-4 * most)))
    if point is None:
        raise NoWay(say("Stopped at {}, this must does not reach that sweetness.", phrases.alcohol(plan.alcohol)))
    made = with_amounts(start, {name: point.amounts[name] for name in plan.unknown})
    curve = evaluate(finished(made, ()), catalogue, 0).curve
    if curve is None or float(curve.alcohol[-1]) < plan.alcohol:
        raise NoWay(say("This yeast does not reach {} in this must.", phrases.alcohol(plan.alcohol)))
    day = float(np.interp(plan.alcohol, curve.alcohol, curve.days))
    steps = tuple(step for step in made.recipe.temperatures if step.day < day)
    chilled = (*steps, TemperatureStep(day=round(day, 2), temperature=CRASH))
    recipe = msgspec.structs.replace(made.recipe, temperatures=chilled)
    made = finished(msgspec.structs.replace(made, recipe=recipe), ())
    stopped = Liquid(liquid(point).masses[:, None])
    glass = mead(Adjustment(), stopped, measured=True, catalogue=catalogue)
    ready = day + SETTLES
    return told(
        "cold", "Chill to stop it, keep it cold", made, catalogue, members,
        (say("Near day {}, at a gravity of {}, chill it to {} at once.", phrases.day(day),
             phrases.gravity(point.reached["finish"]), phrases.temperature(CRASH)),
         say("Rack it off the yeast cold after about {} days, and keep every bottle in the fridge.", phrases.day(SETTLES))), (),
        notes=(say(COLD_NOTE),),
        days=lambda _outcome: Span.exactly(ready), glass=glass,
    )  # fmt: skip
