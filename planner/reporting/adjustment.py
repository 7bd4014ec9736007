"""The part of the report that speaks of the finished mead: before and after, what was given, trials, and stillness."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from planner.adjusting.additions import given_doses
from planner.adjusting.adjustment_headline import Said as Told
from planner.adjusting.adjustment_headline import bottled_words
from planner.adjusting.base_mead import Basis
from planner.adjusting.bottle_safety import together
from planner.adjusting.dosing import next_step
from planner.adjusting.mead import Mead, Properties, noticed, seeming
from planner.adjusting.preference import preferred
from planner.adjusting.refermentation_risk import Stillness, stillness
from planner.adjusting.stabilisation import Treatment, logged_as_stabilised, planned_way, treatment
from planner.adjusting.stabilisation_methods import Way, ways
from planner.adjusting.trial import plan
from planner.document.batch import Trial
from planner.document.bottled import bottled
from planner.evaluation.outcome import Outcome
from planner.model.constants import ZERO_CELSIUS
from planner.model.gas import BAR
from planner.model.span import Span
from planner.model.taste import word_of_the_law
from planner.reference.catalogue import Catalogue
from planner.reporting.said import CELSIUS, Said, Say
from planner.wording.phrases import in_a_sentence

RESTS_ON = {
    Basis.MEASURED: "measured gravity",
    Basis.AT_REST: "log, which has stopped",
    Basis.FORECAST: "forecast of the log",
    Basis.EXPECTED: "expected finish",
}
"""By what the mead before its additions is known, in words."""

CUP = 48
"""Level US teaspoons in a US cup. [-] NIST Handbook 44, appendix C."""

Number = Callable[[float], float]
SpanData = Callable[[Span, float], Any]


def properties_data(properties: Properties, span: SpanData) -> dict[str, Any]:
    """What can be said of a mead, in units of the trade."""
    return {
        "volume_l": span(properties.volume, 1e3),
        "gravity_sg20": span(properties.gravity, 1.0),
        "alcohol_pct_vol": span(properties.alcohol, 1e2),
        "sweetness_g_per_l_sucrose": span(properties.sweetness, 1.0),
        "body_mpa_s": span(properties.viscosity, 1e3),
        "acid_g_per_l_tartaric": span(properties.acid, 1.0),
        "fermentable_sugar_g_per_l": span(properties.fermentable, 1.0),
        "extract_g_per_l": span(properties.extract, 1.0),
    }


def adjustment_data(
    outcome: Outcome, shelf: Catalogue, number: Number, span: SpanData, say: Say = str
) -> dict[str, Any] | None:
    """The finished mead as plain data; None where there is none."""
    mead = outcome.mead
    if mead is None:
        return None
    batch = outcome.batch
    tolerance = shelf.yeast(batch.recipe.yeast.key).tolerance
    return {
        "rests_on": RESTS_ON[mead.basis],
        "ph_before": None if mead.ph_before is None else span(mead.ph_before, 1.0),
        "ph_measured": mead.ph_measured,
        "served_at_c": number(batch.adjustment.serving_temperature - ZERO_CELSIUS),
        "yeast_is_kept_from_working": batch.adjustment.stabilised or logged_as_stabilised(batch),
        "before": properties_data(mead.before, span),
        "additions": _additions(mead, number, span),
        "stirred_in": _given(outcome, shelf, number),
        "now": None if mead.now is None else properties_data(mead.now, span),
        "after": properties_data(mead.after, span),
        "seems_before": _seems(mead.before, mead.ph_before),
        "seems_after": _seems(mead.after, mead.ph),
        "ph_after": None if mead.ph is None else span(mead.ph, 1.0),
        "trials": [_trial(trial, mead, outcome, shelf, number, span) for trial in batch.adjustment.trials],
        "yeast_kept_from_working": {
            "state": treatment(batch, mead).name.lower(),
            "planned_by": planned_way(batch.adjustment) or None,
        },
        "in_bottles": bottled(batch) is not None,
        "stillness": _stillness(
            stillness(mead, tolerance, treatment(batch, mead) is Treatment.DONE),
            bottled_words(batch, mead, shelf),
            number,
            span,
            say,
        ),
        "ways_to_stability": [
            _way(way, say) for way in ways(mead, tolerance, batch.recipe.rules, in_bottles=bottled(batch) is not None)
        ],
    }


def _seems(known: Properties, ph: Span | None) -> dict[str, str]:
    """How it will seem, in words."""
    found = seeming(known, ph)
    return {
        **{name: getattr(found, name).words for name in found._fields},
        "by_eu_wine_law": word_of_the_law(known.fermentable.typical, known.acid.typical),
        "advice": found.advice,
    }


def _additions(mead: Mead, number: Number, span: SpanData) -> list[dict[str, Any]]:
    return [
        {
            "name": effect.name,
            "mass_g": number(effect.mass * 1e3),
            "teaspoons_about": None if effect.teaspoons is None else number(effect.teaspoons),
            "volume_change_ml": number(effect.volume * 1e6),
            "gravity_change": number(effect.gravity),
            "alcohol_change_pct_vol": number(effect.alcohol * 1e2),
            "sweetness_change_g_per_l_sucrose": span(effect.sweetness_range, 1.0),
            "sweetness_steps": number(_steps(mead, "sweetness", effect.sweetness)),
            "body_change_mpa_s": span(effect.viscosity_range, 1e3),
            "body_steps": number(_steps(mead, "viscosity", effect.viscosity)),
            "acid_change_g_per_l_tartaric": number(effect.acid),
            "fermentable_sugar_g": number(effect.fermentable * 1e3),
        }
        for effect in mead.effects
    ]


def _steps(mead: Mead, what: str, change: float) -> float:
    """How much a taster would notice of one addition alone. [-]"""
    before = getattr(mead.before, what).typical
    return noticed(what, before, max(before + change, 0.0))


def _given(outcome: Outcome, shelf: Catalogue, number: Number) -> list[dict[str, Any]]:
    given = given_doses(outcome.batch.log.readings)
    steps = {step.key: step for step in next_step(outcome.batch.adjustment, given, 1.0)}
    return [
        {
            "name": shelf.additive(key).name if key in shelf.additives else key,
            "mass_g": number(mass * 1e3),
            "planned_g": number(steps[key].planned * 1e3) if key in steps else 0.0,
            "still_to_come_g": number(steps[key].left * 1e3) if key in steps else 0.0,
        }
        for key, mass in given.items()
    ]


def _trial(
    trial: Trial, mead: Mead, outcome: Outcome, shelf: Catalogue, number: Number, span: SpanData
) -> dict[str, Any]:
    liked = preferred(trial)
    known = all(part.key in shelf.additives for part in trial.parts)
    lines = {line.key: line for line in outcome.batch.adjustment.additions}
    made = plan(trial, mead.base.member(0), shelf, lines) if known and trial.glasses else None
    return {
        "at": trial.at,
        "full_dose": [
            {
                "name": shelf.additive(part.key).name if part.key in shelf.additives else part.key,
                "dose_g_per_l": number(part.dose),
            }
            for part in trial.parts
        ],
        "stocks": [
            {
                "name": stock.name,
                "mass_g": number(stock.mass * 1e3),
                "made_up_to_ml": number(stock.made_up_to * 1e6),
                "of_it_mead_ml": number(stock.plain * 1e6),
                "diluted": None
                if stock.dilution is None
                else {
                    "taken_ml": number(stock.dilution.taken * 1e6),
                    "made_up_to_ml": number(stock.dilution.made_up_to * 1e6),
                },
            }
            for stock in (made.stocks if made is not None else ())
        ],
        "glasses": [
            {
                "full_doses": number(glass.strength),
                "stocks_ml": [number(one * 1e6) for one in made.pours[place].stocks] if made is not None else [],
                "mead_ml": number(made.pours[place].plain * 1e6) if made is not None else None,
                "score_of_10": glass.score,
                "rank": glass.rank,
            }
            for place, glass in enumerate(trial.glasses)
        ],
        "preferred_full_doses": None if liked is None else span(liked.strength, 1.0),
    }


def _stillness(still: Stillness, danger: Told | None, number: Number, span: SpanData, say: Say) -> dict[str, Any]:
    return {
        "risk": still.risk.name.lower(),
        "in_words": say(still.words if danger is None else together(*danger)),
        "sugar_g_per_l": span(still.sugar, 1.0),
        "sugar_before_alcohol_stops_it_g_per_l": span(still.eaten, 1.0),
        "pressures": [
            {
                "temperature_c": number(pressure.temperature - ZERO_CELSIUS),
                "bar_above_air": span(pressure.gauge, 1.0 / BAR),
            }
            for pressure in still.pressures
        ],
        "bottle": still.vessel.name,
        "closure": still.vessel.words,
        "sugar_comes_from": [{"name": food.name, "sugar_g_per_l": number(food.sugar)} for food in still.food],
        "bacteria": list(still.bacteria),
    }


def _way(way: Way, say: Say) -> dict[str, Any]:
    return {
        "name": way.name,
        "would_do": way.works,
        "state": say(way.state),
        "to_do": [say(dose) for dose in way.doses],
        "cannot": way.cannot,
        "caution": say(way.caution),
        "house_rules_against": [say(why) for why in way.against],
    }


def stillness_lines(mead: dict[str, Any]) -> list[str]:
    """The same for reading."""
    still = mead["stillness"]
    lines = ["", "Stability in the bottle", f"  {still['in_words']}"]
    if still["risk"] != "none" and not mead["in_bottles"]:
        lines.append(f"  Bottle and closure: {still['closure']}")
    kept = mead["yeast_kept_from_working"]
    if kept["state"] == "planned":
        by = f" by {kept['planned_by']}" if kept["planned_by"] else ""
        lines.append(f"  Stabilising is planned{by}, and not done yet.")
    lines += ["  Ways to stability:"]
    for way in mead["ways_to_stability"]:
        mark = (
            "against the house rules" if way["house_rules_against"] else "would work" if way["would_do"] else "not yet"
        )
        lines += [f"    {way['name']} ({mark}): {way['state']}"]
        lines += [f"      {dose}" for dose in way["to_do"]]
        lines += [f"      {way['caution']}"] if way["caution"] else []
    return lines


def seeming_lines(seems: dict[str, str]) -> list[str]:
    """How it will seem, for reading."""
    text = f"seems {seems['sweet']} and {seems['sharp']}. Strength: {seems['strong']}; body: {seems['full']}"
    return [f"  {text}. {seems['advice']}".rstrip(), f"  EU wine law would call it {seems['by_eu_wine_law']}"]


def measured_lines(mead: dict[str, Any], said: Said) -> list[str]:
    """What else is known of the mead before its additions, for reading."""
    ph = mead["ph_before"]
    how = "measured" if mead["ph_measured"] else "not measured"
    kept = ", stabilised" if mead["yeast_is_kept_from_working"] else ""
    lines = [] if ph is None else [f"  {f'pH, {how}':<22} {said('ph', ph)}"]
    return [*lines, f"  served at {said('temperature', mead['served_at_c'] + CELSIUS)}{kept}"]


def addition_lines(mead: dict[str, Any], said: Said) -> list[str]:
    """What to weigh, and what it does, for reading."""
    lines = []
    for row in mead["additions"]:
        spoons = row["teaspoons_about"]
        about = f" (about {said.fixed(spoons, 0)} level teaspoons)" if spoons and spoons < CUP else ""
        if spoons and spoons >= CUP and said.reader.system == "us":
            about = f" (about {said.fixed(spoons / CUP, 1)} level US cups)"
        sweet = row["sweetness_change_g_per_l_sucrose"]
        ferments = "; yeast will ferment it" if row["fermentable_sugar_g"] > 0 else ""
        lines.append(
            f"  weigh {said('mass', row['mass_g'], 1e-3)} of {in_a_sentence(row['name'])}{about}: "
            f"sweetness {said.signed(sweet, 0, 'g/L')}, body {said.signed(row['body_steps'], 1, 'steps')}, "
            f"gravity {said.signed(row['gravity_change'] * 1e3, 1, 'points')}{ferments}"
        )
    return lines


def trial_lines(mead: dict[str, Any], said: Said) -> list[str]:
    """How to fill the glasses of each trial, and what was made of them, for reading."""
    lines: list[str] = []
    for trial in mead["trials"]:
        lines += ["", f"Trial glasses {(trial['at'] or '')[:10]}".rstrip()]
        lines += [
            f"  stock {place}: {said('mass', stock['mass_g'], 1e-3)} of {in_a_sentence(stock['name'])}, made up to "
            f"{_millilitres(stock['made_up_to_ml'], said)} with the mead ({_millilitres(stock['of_it_mead_ml'], said)} of it)"
            f"{_diluted(stock['diluted'], said)}"
            for place, stock in enumerate(trial["stocks"], start=1)
        ]
        for place, glass in enumerate(trial["glasses"], start=1):
            stocks = " + ".join(_millilitres(one, said) for one in glass["stocks_ml"]) or "?"
            poured = (
                "" if glass["mead_ml"] is None else f", stocks {stocks}, mead {_millilitres(glass['mead_ml'], said)}"
            )
            score = "" if glass["score_of_10"] is None else f": {glass['score_of_10']:g} of 10"
            score = score if glass["rank"] is None else f"{score}, rank {glass['rank']}"
            lines.append(f"  glass {place}: {said('share', glass['full_doses'])} of the dose{poured}{score}")
    return lines


def _diluted(thin: dict[str, Any] | None, said: Said) -> str:
    if thin is None:
        return ""
    return f"; of that {_millilitres(thin['taken_ml'], said)}, made up to {_millilitres(thin['made_up_to_ml'], said)}"


def _millilitres(volume: float, said: Said) -> str:
    """A measure of a syringe, which is marked so everywhere."""
    return said.trimmed(volume, 1, "mL")


def given_lines(mead: dict[str, Any], said: Said) -> list[str]:
    """What was stirred in so far, for reading."""
    return [
        f"  stirred in so far: {said('mass', row['mass_g'], 1e-3)} of {in_a_sentence(row['name'])}, "
        f"{said('mass', row['still_to_come_g'], 1e-3)} still to come"
        for row in mead["stirred_in"]
    ]
