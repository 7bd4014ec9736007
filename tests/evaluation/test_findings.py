"""Each finding appears when it should, where it should, and not otherwise."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import cache

import msgspec
import pytest
from example_batches import PITCHED, SHELF, full, plain, read, sugar_test, with_adjustment, with_log, worked_out

from planner.document.batch import (
    Batch,
    Event,
    Feed,
    FruitLine,
    HoneyLine,
    HouseRules,
    HydrometerReading,
    TemperatureStep,
    What,
    Yeast,
    new_batch,
)
from planner.wording.finding import Finding, Level, caution, error, note, warning
from planner.wording.phrases import mass

CAUTION, NOTE, WARNING, ERROR = Level.CAUTION, Level.NOTE, Level.WARNING, Level.ERROR


@cache
def found(batch: Batch, members: int = 0) -> tuple[Finding, ...]:
    return worked_out(batch, members).findings


def at(temperature):
    return (TemperatureStep(day=0.0, temperature=temperature + 273.15),)


def honey(kilograms=4.6, **fields):
    return (HoneyLine(key="blossom", mass=kilograms, **fields),)


def dap(kilograms, **fields):
    return (Feed(key="diammonium-phosphate", mass=kilograms, **({"day": 1.0} | fields)),)


def pitch(kilograms, key="all-rounder"):
    return Yeast(key=key, pitch=kilograms)


def log(*readings, **fields):
    return with_log(plain(), *readings, **fields)


def dated(at, gravity=1.05, **fields):
    return HydrometerReading(at=at, gravity=gravity, **fields)


def fed(kilograms):
    return Event(what=What.FEED, key="diammonium-phosphate", mass=kilograms, day=1.0)


def adjusted(*additions, **fields):
    return with_adjustment(plain(), *additions, **fields)


DRY = {"gravity": 1.0015}  # where the plain batch rests when dry
SWEET = plain(honeys=honey(7.5), feeds=dap(0.016), vessel=0.040, yeast=pitch(0.008, "sweet-leaver"))

HUNGRY = {
    "honeys": honey(7.5),
    "yeast": pitch(0.006, "aromatic-hungry"),
    "feeds": (Feed(key="yeast-autolysate", mass=0.045, day=1.0),),
}
"""More sugar and a yeast that wants more than two grams of organic food in a litre bring."""

# What is doubtful, how serious, where, words of the sentence, and a batch like it without the doubt.
CASES = {
    "an empty recipe": (new_batch(), NOTE, "recipe", "Enter fruit, honey or water", plain()),
    "a must without sugar": (
        plain(fruits=(), honeys=()), WARNING, "recipe", "no sugar in this must", plain(fruits=()),
    ),
    "an unknown fruit": (
        plain(fruits=(FruitLine(key="plumm", mass=1.0),)), ERROR, "recipe.fruits.0", "no fruit 'plumm'. Did you mean plum", plain(),
    ),
    "an unknown honey": (plain(honeys=(HoneyLine(key="x{}y", mass=1.0),)), ERROR, "recipe.honeys.0", "no honey 'x{ }y'", plain()),
    "an unknown feed": (plain(feeds=(Feed(key="hope", mass=1.0),)), ERROR, "recipe.feeds.0", "no nutrient 'hope'", plain()),
    "an unknown yeast": (plain(yeast=pitch(0.005, "baker")), ERROR, "recipe.yeast", "no yeast 'baker'", plain()),
    "an unknown addition": (adjusted(("sand", 1.0)), ERROR, "adjustment.additions.0", "no additive 'sand'", plain()),
    "too cold": (plain(temperatures=at(12)), WARNING, "recipe.temperatures.0", "below this yeast's range, which begins at 15 °C",
                 plain(temperatures=at(15))),
    "too warm": (plain(temperatures=at(29)), WARNING, "recipe.temperatures.0", "above this yeast's range, which ends at 27 °C",
                 plain(temperatures=at(27))),
    "colder than measured": (plain(temperatures=at(9)), NOTE, "recipe.temperatures.0", "measured from 11 to 35 °C",
                             plain(temperatures=at(11.1))),
    "warmer than measured": (plain(temperatures=at(36)), NOTE, "recipe.temperatures.0", "extrapolated", plain(temperatures=at(34))),
    "no temperature": (plain(temperatures=()), NOTE, "recipe.temperatures", "20 °C is assumed", plain()),
    "temperatures in disorder": (
        plain(temperatures=(TemperatureStep(day=9.0, temperature=293.15), TemperatureStep(day=0.0, temperature=291.15))),
        NOTE, "recipe.temperatures", "in the order of their days", plain(temperatures=(*at(18), TemperatureStep(day=9.0, temperature=293.15))),
    ),
    "no temperature from pitching on": (
        plain(temperatures=(TemperatureStep(day=2.0, temperature=293.15),)), NOTE, "recipe.temperatures", "the first from pitching", plain(),
    ),
    "a vessel too small": (plain(vessel=0.018), ERROR, "recipe.vessel", "does not fit", plain(vessel=None)),
    "no room for foam": (plain(vessel=0.021), WARNING, "recipe.vessel", "little room for foam", plain(vessel=0.024)),
    "no yeast": (plain(yeast=pitch(0.0)), ERROR, "recipe.yeast", "No yeast is pitched. Usual for this must is about", plain()),
    "little yeast": (plain(yeast=pitch(0.0015)), WARNING, "recipe.yeast", "This is little yeast", plain(yeast=pitch(0.0025))),
    "much yeast": (plain(yeast=pitch(0.025)), NOTE, "recipe.yeast", "This is much yeast", plain(yeast=pitch(0.015))),
    "stones": (plain(), CAUTION, "recipe.fruits.0", "release cyanide", plain(fruits=(FruitLine(key="apple", mass=12.0),))),
    "elder": (plain(fruits=(FruitLine(key="elderberry", mass=9.0),)), CAUTION, "recipe.fruits.0", "elder", plain()),
    "honey that is none": (plain(honeys=honey(moisture=0.05)), WARNING, "recipe.honeys.0", "unlikely water content", plain(honeys=honey(moisture=0.17))),
    "honey too wet to be honey": (plain(honeys=honey(moisture=0.3)), WARNING, "recipe.honeys.0", "30 % is an unlikely", plain(honeys=honey(moisture=0.19))),
    "wet honey": (plain(honeys=honey(moisture=0.22)), NOTE, "recipe.honeys.0", "may already ferment (22 %)", plain(honeys=honey(moisture=0.20))),
    "too strong for the yeast": (plain(yeast=pitch(0.005, "sweet-leaver")), WARNING, "recipe.yeast", "stops near 10.5 % vol", plain()),
    "beyond the model": (plain(honeys=honey(8.5)), WARNING, "recipe", "beyond the musts the model was measured on", plain()),
    "beyond the formula of a dry mead": (plain(honeys=honey(16.0)), NOTE, "recipe", "The formula for it ends at 25 % vol", plain(honeys=honey(8.5))),
    "below the model": (plain(honeys=honey(2.0), feeds=()), NOTE, "recipe", "below the musts the model was measured on", plain()),
    "a feed that never comes": (
        plain(yeast=pitch(0.005, "sweet-leaver"), honeys=honey(7.5), feeds=dap(0.01, day=None, sugar_used=1.0)),
        WARNING, "recipe.feeds.0", "never falls due: the ferment does not use 100 %", plain(feeds=dap(0.01, day=None, sugar_used=0.3)),
    ),
    "hunger": (plain(fruits=(), water=17.0, feeds=()), WARNING, "recipe.feeds", "Feed it, or expect a slow end", plain()),
    "half a meal": (plain(fruits=(), water=17.0, feeds=dap(0.006)), WARNING, "recipe.feeds", "Feed it, or expect a slow end",
                    plain(fruits=(), water=17.0, feeds=dap(0.013))),
    "hunger that organic food does not still": (
        plain(fruits=(), water=17.0, feeds=(), rules=HouseRules(natural_only=True)), WARNING, "recipe.feeds",
        "of it. Expect a slow end. More fruit and less honey, or a yeast that needs less", plain(rules=HouseRules(natural_only=True)),
    ),
    "hunger although organic food is at its most": (
        plain(fruits=(), water=17.0, **HUNGRY, rules=HouseRules(natural_only=True)),
        WARNING, "recipe.feeds", "No feed within the limits and the house rules brings it",
        plain(fruits=(), water=17.0, **HUNGRY),
    ),
    "more organic food than is usual": (  # 1 to 2 g/L, common practice; 16 L of must
        plain(feeds=(*dap(0.010), Feed(key="yeast-autolysate", mass=0.045, day=1.0))), NOTE, "recipe.feeds", "The usual dose has no source",
        plain(feeds=(*dap(0.010), Feed(key="yeast-autolysate", mass=0.020, day=1.0))),
    ),
    "hunger that it is too late to still": (
        with_log(plain(fruits=(), water=17.0, feeds=()), read(0.0, 1.086), read(30.0, 1.020)), WARNING, "recipe.feeds",
        "Too late to feed", with_log(plain(fruits=(), water=17.0, feeds=()), read(0.0, 1.086), read(1.0, 1.085)),
    ),
    "hunger that no logged feed has stilled": (
        with_log(plain(fruits=(), water=17.0, feeds=()), fed(0.003)), WARNING, "recipe.feeds", "With its feeds",
        with_log(plain(fruits=(), water=17.0, feeds=()), fed(0.013)),
    ),
    "plenty": (plain(feeds=dap(0.025)), NOTE, "recipe.feeds", "more than this yeast takes up", plain(feeds=dap(0.012))),
    "more ammonium than the law allows": (
        plain(feeds=(*dap(0.010), *dap(0.012, day=3.0))), WARNING, "recipe.feeds", "exceeds the legal limit of 960 mg/L", plain(feeds=dap(0.017)),
    ),
    "an unreadable pitching": (log(pitched_at="last week"), ERROR, "log.pitched_at", "cannot be read", log(pitched_at=PITCHED)),
    "an unreadable moment": (
        log(dated("Tuesday"), pitched_at=PITCHED), ERROR, "log.readings.0", "The moment of this reading cannot be read",
        log(dated("2026-08-20T10:00+02:00"), pitched_at=PITCHED),
    ),
    "a reading without a day": (
        log(dated("2026-08-20T10:00+02:00")), WARNING, "log.readings.0", "Enter when the yeast was pitched",
        log(dated("2026-08-20T10:00+02:00"), pitched_at=PITCHED),
    ),
    "a reading long before pitching": (log(read(-4.0, 1.098)), NOTE, "log.readings.0", "4 days before pitching", log(read(-1.0, 1.098))),
    "a gravity out of this world": (log(read(5.0, 1.45)), WARNING, "log.readings.0", "1.450 is unlikely", log(read(5.0, 1.05))),
    "a gravity too light": (log(read(5.0, 0.95)), WARNING, "log.readings.0", "0.950 is unlikely", log(read(5.0, 0.985))),
    "a hot sample": (log(read(5.0, 1.05, 320.0)), WARNING, "log.readings.0", "outside the range of the temperature correction, 0 to 40 °C",
                     log(read(5.0, 1.05, 312.0))),
    "a slip of the pen": (
        log(read(4.0, 1.070), read(6.0, 1.005), read(8.0, 1.040)), WARNING, "log.readings.1", "If it was misread, leave it out",
        log(read(4.0, 1.070), read(6.0, 1.005, excluded=True), read(8.0, 1.040)),
    ),
    "a jump up": (
        log(read(8.0, 1.030), read(4.0, 1.060), read(6.0, 1.090)), WARNING, "log.readings.2", "lies far from the readings",
        log(read(8.0, 1.030), read(4.0, 1.060), read(6.0, 1.045)),
    ),
    "gravity that rose": (log(read(4.0, 1.060), read(6.0, 1.070)), NOTE, "log.readings.1", "The gravity rose", log(read(4.0, 1.060), read(6.0, 1.061))),
    "sugar for living yeast": (adjusted(("sugar", 0.5), **DRY), ERROR, "adjustment.additions", "enough to burst any bottle",
                               adjusted(("sugar", 0.5), stabilised=True, **DRY)),
    "honey for living yeast": (adjusted(("honey", 0.5), **DRY), ERROR, "adjustment.additions", "Stabilise first", adjusted(("erythritol", 0.5), **DRY)),
    "sugar that may be left": (adjusted(gravity=1.004), WARNING, "adjustment", "Test for residual sugar", adjusted(gravity=1.004, stabilised=True)),
    "erythritol that may crystallise": (
        adjusted(("erythritol", 1.6), ("erythritol", 1.6), **DRY), ERROR, "adjustment.additions.1", "may crystallise in a cold cellar",
        adjusted(("erythritol", 1.6), **DRY),
    ),
    "erythritol for the gut": (adjusted(("erythritol", 0.5), **DRY), CAUTION, "adjustment.additions.0", "0.5 g of erythritol", adjusted(("sugar", 0.5), **DRY)),
    "xylitol and dogs": (adjusted(("xylitol", 0.5), **DRY), CAUTION, "adjustment.additions.0", "dog", adjusted(("sorbitol", 0.5), **DRY)),
    "a fiercely sour mead": (adjusted(acid=17.0, **DRY), WARNING, "adjustment", "It will taste fiercely sour", adjusted(acid=6.0, **DRY)),
    "milk": (adjusted(("lactose", 0.5), **DRY), CAUTION, "adjustment.additions.0", "milk", adjusted(("glycerol", 0.1), **DRY)),
    "a mead too light for its must": (adjusted(gravity=0.992), NOTE, "adjustment.gravity", "less extract than the tables say", adjusted(gravity=1.001)),
}  # fmt: skip


def test_that_a_sour_must_is_told_before_it_is_made():
    sour = plain(fruits=(FruitLine(key="blackcurrant", mass=20.0, as_juice=True),), water=0.0)
    assert like(found(sour), NOTE, "adjustment", "It will taste fiercely sour")
    assert not like(found(plain()), NOTE, "adjustment", "It will taste fiercely sour")


def like(findings, level, place, words):
    return [f for f in findings if f.level is level and f.place == place and words in str(f.text)]


@pytest.mark.parametrize("case", CASES)
def test_that_a_doubt_is_found_once_at_its_place(case):
    batch, level, place, words, _ = CASES[case]
    findings = found(batch)
    assert len(like(findings, level, place, words)) == 1, "\n".join(
        f"{f.level.name} {f.place}: {f.text}" for f in findings
    )


@pytest.mark.parametrize("case", CASES)
def test_that_a_batch_without_the_doubt_is_spared_it(case):
    _, _, _, words, without = CASES[case]
    assert not [f for f in found(without) if words in str(f.text)]


def test_that_a_well_planned_batch_has_nothing_but_the_cautions_of_what_is_in_it():
    places = ["recipe.fruits.0", "recipe.honeys.0", "recipe.yeast"]
    gently_fed = plain(feeds=(Feed(key="yeast-autolysate", mass=0.025, day=1.0),))  # ammonium would make it sourer
    assert [(f.level, f.place) for f in found(gently_fed, 100)] == [(CAUTION, place) for place in places]


def test_that_a_caution_is_said_once_however_many_fruits_call_for_it():
    batch = plain(fruits=tuple(FruitLine(key=key, mass=4.0) for key in ("plum", "sour-cherry", "damson")))
    assert len([f for f in found(batch) if "cyanide" in str(f.text)]) == 1


def test_that_every_caution_of_a_fruit_on_the_shelf_reaches_the_user():
    for key, row in SHELF.fruits.items():
        if not row.cautions:
            continue
        told = found(plain(fruits=(FruitLine(key=key, mass=8.0),)))
        for name in row.cautions:
            assert caution("recipe.fruits.0", name, SHELF) in told


def test_that_the_gravest_stand_first():
    crowded = with_adjustment(
        plain(vessel=0.018, temperatures=at(29), yeast=pitch(0.0015)), ("sugar", 0.5), gravity=1.0015
    )
    levels = [f.level for f in found(crowded)]
    assert levels == sorted(levels, reverse=True)
    assert {ERROR, WARNING, NOTE} <= set(levels)


def test_that_a_mead_that_was_not_touched_is_not_doubted():
    assert not [f for f in found(plain()) if f.place.startswith("adjustment")]


def test_that_a_yeast_at_the_end_of_its_strength_is_no_danger():
    # 16.9 % vol is far above what this yeast survives, whatever sugar is left.
    strong = msgspec.structs.replace(SWEET, adjustment=adjusted(("sugar", 0.5), gravity=1.0015).adjustment)
    assert not [f for f in found(strong) if "burst" in str(f.text)]


def test_that_only_sugar_over_two_grams_is_a_danger():
    # 4 g/L make about 1 bar at 20 °C; 2 g/L still prickle only (carbon dioxide balance of a 750 mL bottle).
    assert not [
        f
        for f in found(adjusted(("sugar", 0.02), **DRY))
        if f.place.startswith("adjustment") and "carbon dioxide" in str(f.text)
    ]
    assert [
        f
        for f in found(adjusted(("sugar", 0.10), **DRY))
        if f.place.startswith("adjustment") and "carbon dioxide" in str(f.text)
    ]


def test_that_a_sugar_test_settles_what_gravity_leaves_open():
    open_ = with_log(adjusted(gravity=1.006), read(60.0, 1.006))
    settled = with_log(adjusted(gravity=1.006), read(60.0, 1.006), sugar_test(60.0, 0.5))
    assert like(found(open_, 100), WARNING, "adjustment", "may still ferment")
    assert not [f for f in found(settled, 100) if "still ferment" in str(f.text)]


def exists(batch, place):
    """Whether a place names something in the batch; the recipe as a whole and its lists count."""
    here = batch
    for name in place.split("."):
        if name.isdigit():
            if int(name) >= len(here):
                return False
            here = here[int(name)]
        elif not hasattr(here, name):
            return False
        else:
            here = getattr(here, name)
    return True


@pytest.mark.parametrize("case", CASES)
def test_that_every_place_is_a_place_in_the_batch(case):
    batch = CASES[case][0]
    for finding in found(batch):
        assert exists(batch, finding.place), finding.place


def test_that_findings_are_sentences():
    for batch, *_ in CASES.values():
        for finding in found(batch):
            text = str(finding.text)
            assert text[0].isupper() or text[0].isdigit(), text
            assert text.endswith((".", "?", "!")), text


def test_that_findings_are_made_by_their_level():
    assert note("recipe", "{} left.", mass(1.5)) == Finding(NOTE, "recipe", note("x", "{} left.", mass(1.5)).text)
    assert (warning("recipe", "Hm.").level, error("recipe", "No.").level) == (WARNING, ERROR)
    assert CAUTION < NOTE < WARNING < ERROR


def test_that_the_present_moment_changes_no_finding():
    batch = full()
    assert worked_out(batch).findings == worked_out(batch, today=datetime(2031, 1, 1, tzinfo=UTC)).findings
