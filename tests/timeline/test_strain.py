"""What strains the yeast is told, where it is and why; and what the log says is never dropped."""

from __future__ import annotations

import msgspec
import pytest
from example_batches import PITCHED, plain, read, sugar_test, with_log, worked_out
from test_self_warming import fold

from planner.document.batch import (
    AcidityReading,
    Feed,
    FruitLine,
    HoneyLine,
    HydrometerReading,
    TemperatureStep,
    WarmthReading,
    Yeast,
    new_batch,
)
from planner.wording.finding import Level

NOTE, WARNING, ERROR = Level.NOTE, Level.WARNING, Level.ERROR


def at(celsius):
    return (TemperatureStep(day=0.0, temperature=celsius + 273.15),)


def dap(kilograms, day=1.0):
    return Feed(key="diammonium-phosphate", mass=kilograms, day=day)


def big(**recipe):
    """Two cubic metres, in a vessel that holds them."""
    return fold(plain(**({"vessel": None} | recipe)), 100.0)


def sour(kilograms):
    """With so much lemon juice."""
    return plain(fruits=(FruitLine(key="lemon", mass=kilograms, as_juice=True),), water=16.0 - kilograms,
                 feeds=(dap(0.012),))  # fmt: skip


def lingonberry(kilograms):
    return plain(
        fruits=(FruitLine(key="lingonberry", mass=kilograms, as_juice=True),),
        water=16.0 - kilograms,
        feeds=(dap(0.012),),
    )


def log(*readings, **fields):
    return with_log(plain(), *readings, **fields)


CASES = {
    "heats itself beyond its range": (
        big(in_room=True, temperatures=at(23)), WARNING, "recipe.temperatures", "It should warm itself to about",
        plain(in_room=True, temperatures=at(23)),
    ),
    "heats itself beyond its best": (
        big(in_room=True, temperatures=at(20)), NOTE, "recipe.temperatures", "above its best, 20 °C", plain(in_room=True, temperatures=at(18)),
    ),
    "would heat itself unless it is cooled": (
        big(temperatures=at(25)), WARNING, "recipe.temperatures", "Unless it is cooled", plain(temperatures=at(25)),
    ),
    "sugar draws water": (
        plain(honeys=(HoneyLine(key="blossom", mass=6.3),), feeds=(dap(0.014),)), NOTE, "recipe", "draws water from the yeast", plain(),
    ),
    "very sour": (sour(8.0), WARNING, "recipe", "of its pace", sour(1.0)),
    "short of potassium": (sour(5.0), WARNING, "recipe.feeds", "of potassium bicarbonate, or", plain()),
    "sour berries that keep": (lingonberry(6.0), WARNING, "recipe.fruits", "benzoic acid", lingonberry(1.0)),
    "a pH that is likely low": (sour(1.0), NOTE, "recipe", "Below 3.0 yeast starts late", plain()),
    "a late feed": (plain(feeds=(dap(0.008), dap(0.004, 12.0))), NOTE, "recipe.feeds.1", "takes up little", plain(feeds=(dap(0.008), dap(0.004, 2.0)))),
    "less nitrogen than was ever measured": (
        plain(fruits=(), water=17.0, feeds=()), NOTE, "recipe.feeds", "measured with 70 to 350 mg/L", plain(),
    ),
    "more nitrogen than was ever measured": (plain(feeds=(dap(0.026),)), NOTE, "recipe.feeds", "extrapolated", plain(feeds=(dap(0.020),))),
    "a blend that may hold more ammonium than the law allows": (
        plain(feeds=(Feed(key="blend", mass=0.055, day=1.0),)), NOTE, "recipe.feeds", "Blends do not name their parts",
        plain(feeds=(Feed(key="blend", mass=0.035, day=1.0),)),
    ),
    "a start far from the recipe": (
        log(read(0.0, 1.060)), WARNING, "log.readings.0", "far from the 1.098", log(read(0.0, 1.095)),
    ),
    "a start that cannot be": (log(read(0.0, 1.000)), ERROR, "log.readings.0", "starts from the recipe instead", log(read(0.0, 1.095))),
    "a start too heavy for any sugar in it": (
        with_log(plain(honeys=(), fruits=(FruitLine(key="apple", mass=0.5),), water=20.0), read(0.0, 1.090)), ERROR, "log.readings.0",
        "starts from the recipe instead", plain(),
    ),
    "a must measured too hot": (
        log(WarmthReading(day=2.0, temperature=303.15)), WARNING, "log.readings.0", "above this yeast's range, which ends at 27 °C. Cool it",
        log(WarmthReading(day=2.0, temperature=293.15)),
    ),
    "a must measured too cold": (
        log(WarmthReading(day=2.0, temperature=283.15)), WARNING, "log.readings.0", "below this yeast's range, which begins at 15 °C. Warm it",
        log(WarmthReading(day=2.0, temperature=303.15), WarmthReading(day=3.0, temperature=293.15)),
    ),
    "a low pH": (log(AcidityReading(day=3.0, ph=2.8)), WARNING, "log.readings.0", "strains the yeast", log(AcidityReading(day=3.0, ph=3.2))),
}  # fmt: skip


def like(findings, level, place, words):
    return [f for f in findings if f.level is level and f.place == place and words in str(f.text)]


@pytest.mark.parametrize("case", CASES)
def test_that_strain_is_told_once_at_its_place(case):
    batch, level, place, words, _ = CASES[case]
    findings = worked_out(batch).findings
    assert len(like(findings, level, place, words)) == 1, "\n".join(
        f"{f.level.name} {f.place}: {f.text}" for f in findings
    )


@pytest.mark.parametrize("case", CASES)
def test_that_a_batch_without_the_strain_is_spared_it(case):
    _, _, _, words, without = CASES[case]
    assert not [f for f in worked_out(without).findings if words in str(f.text)]


def test_that_the_cooler_room_that_is_advised_keeps_it_in_range():
    batch = CASES["heats itself beyond its range"][0]
    told = like(worked_out(batch).findings, WARNING, "recipe.temperatures", "or less")[0]
    room = told.text.figures[-1].value
    cooler = msgspec.structs.replace(batch.recipe, temperatures=(TemperatureStep(day=0.0, temperature=room),))
    assert worked_out(msgspec.structs.replace(batch, recipe=cooler)).warmth.warmest <= 27.0 + 273.15


def test_that_a_must_that_warms_itself_ferments_by_its_own_temperature():
    cool, kept = big(in_room=True, temperatures=at(18)), big(temperatures=at(18))
    warms, holds = worked_out(cool), worked_out(kept)
    assert warms.curve.temperature.max() == pytest.approx(warms.warmth.warmest)
    assert warms.warmth.excess > 3.0
    assert holds.curve.temperature.max() == pytest.approx(291.15)
    assert warms.finish.day.typical < holds.finish.day.typical - 1.0


def test_that_a_must_by_itself_warms_no_more_than_all_its_sugar_can():
    # 1.3 °C per °Brix fermented (course note and a supplier's table, two places), when no heat is lost.
    # In a cold room, so that the heat does not stop its yeast before the sugar is used.
    warms = worked_out(fold(plain(vessel=None, in_room=True, temperatures=at(13)), 5000.0))
    brix = warms.must.brix.typical
    assert 0.4 * 1.3 * brix < warms.warmth.excess < 1.3 * brix


def test_that_a_log_before_its_recipe_keeps_its_doubts():
    odd = (HydrometerReading(at="Tuesday", gravity=1.45),)
    no_recipe = with_log(new_batch(), *odd, pitched_at=PITCHED)
    no_sugar = with_log(plain(fruits=(), honeys=()), *odd, pitched_at=PITCHED)
    unknown = with_log(plain(yeast=Yeast(key="baker", pitch=0.005)), *odd, pitched_at=PITCHED)
    for batch in (no_recipe, no_sugar, unknown):
        told = [f for f in worked_out(batch).findings if f.place == "log.readings.0"]
        assert any("cannot be read" in str(f.text) for f in told)
        assert any("1.450 is unlikely" in str(f.text) for f in told)


def test_that_a_start_that_cannot_be_leaves_the_course_of_the_recipe():
    odd, usual = worked_out(log(read(0.0, 1.000), read(5.0, 1.040))), worked_out(plain())
    assert odd.starting_gravity is None
    assert odd.curve.gravity[0] == pytest.approx(usual.curve.gravity[0])
    assert len(odd.log) == 2


def test_that_a_measured_start_goes_before_the_sugar_of_the_recipe():
    strong = plain(honeys=(HoneyLine(key="blossom", mass=6.3),), feeds=(dap(0.014),))
    told = [str(finding.text) for finding in worked_out(with_log(strong, read(0, 1.085))).findings]
    assert not any("draws water" in text for text in told)


def test_that_what_has_finished_is_not_told_to_stay_sweet():
    strong = plain(honeys=(HoneyLine(key="blossom", mass=6.5),), feeds=(dap(0.014),))

    def told(*readings):
        found = worked_out(with_log(strong, *readings), 50).findings
        return any("to stay sweet" in str(finding.text) for finding in found)

    assert told()
    assert not told(
        read(0, 1.118), read(8, 1.050), read(20, 1.005), read(30, 0.998), read(40, 0.998), sugar_test(41, 0.5)
    )
