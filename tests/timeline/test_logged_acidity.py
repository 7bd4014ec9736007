"""What is measured of the acid of a must counts at its time, and moves all that hangs on it."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest
from example_batches import PITCHED, SHELF, plain, worked_out
from hypothesis import given
from hypothesis import strategies as st

from planner.document.batch import AcidityReading, Event, Log, Preparation, TitrationReading, What
from planner.model.liquid import Liquid, titratable_acid
from planner.recipe.acidity import as_measured
from planner.recipe.must import must, with_acid
from planner.timeline.logged_acidity import acid_of_must, ph_of_must

MEMBERS = 60


def logged(*readings, members=MEMBERS, **recipe):
    return worked_out(msgspec.structs.replace(plain(**recipe), log=Log(readings=readings)), members)


@pytest.fixture(scope="module")
def by_recipe():
    return logged()


@pytest.fixture(scope="module", params=[3.0, 3.8])
def by_ph(request):
    return request.param, logged(AcidityReading(day=0.0, ph=request.param))


def test_that_a_ph_of_the_must_is_its_ph_and_moves_its_acid_and_the_mead(by_ph, by_recipe):
    ph, found = by_ph
    way = np.sign(ph - by_recipe.must.ph.typical)
    assert found.must.ph.typical == ph
    assert found.must.ph.high - found.must.ph.low == pytest.approx(0.1)  # a meter set with buffers
    assert found.must.measured == ("ph",)
    # The low pH goes with the high acid.
    assert np.sign(found.must.acid.typical - by_recipe.must.acid.typical) == -way
    assert by_recipe.must.acid.low < found.must.acid.typical
    assert np.sign(found.finish.acid.typical - by_recipe.finish.acid.typical) == -way
    assert np.sign(found.mead.before.acid.typical - by_recipe.mead.before.acid.typical) == -way
    assert np.sign(found.mead.ph_before.typical - by_recipe.mead.ph_before.typical) == way


def test_that_what_hangs_on_the_ph_follows_it():
    sour, mild = (logged(AcidityReading(day=0.0, ph=ph)) for ph in (3.0, 3.8))
    assert sour.finish.day.typical > mild.finish.day.typical  # yeast works slower in acid
    told = [" ".join(str(finding.text) for finding in outcome.findings) for outcome in (sour, mild)]
    assert "The pH is 3.0" in told[0]
    assert "The pH is" not in told[1]


@pytest.mark.parametrize("acid", [4.0, 12.0])
def test_that_a_titrated_acid_of_the_must_is_its_acid_and_moves_its_ph_and_the_mead(acid, by_recipe):
    found = logged(TitrationReading(day=0.0, acid=acid))
    way = np.sign(acid - by_recipe.must.acid.typical)
    assert found.must.acid.typical == pytest.approx(acid, abs=0.01)
    assert found.must.acid.high - found.must.acid.low < by_recipe.must.acid.high - by_recipe.must.acid.low
    assert found.must.measured == ("acid",)
    assert np.sign(found.must.ph.typical - by_recipe.must.ph.typical) == -way
    # Yeast takes up to half of the malic acid, and makes as much of other acids as before.
    moved = (found.finish.acid.typical - by_recipe.finish.acid.typical) / (acid - by_recipe.must.acid.typical)
    assert 0.5 <= moved <= 1.0
    assert np.sign(found.mead.ph_before.typical - by_recipe.mead.ph_before.typical) == -way


def test_that_both_together_count_as_measured():
    found = logged(AcidityReading(day=0.0, ph=3.0), TitrationReading(day=0.0, acid=5.0))
    assert found.must.ph.typical == 3.0
    assert found.must.acid.typical == pytest.approx(5.0, abs=0.01)
    assert set(found.must.measured) == {"ph", "acid"}


@pytest.mark.parametrize("reading", [AcidityReading(day=0.0, ph=3.1), TitrationReading(day=0.0, acid=9.0)])
def test_that_the_typical_must_is_the_same_with_and_without_an_ensemble(reading):
    alone, with_others = logged(reading, members=0), logged(reading)
    for name in ("acid", "gravity", "sugar"):
        assert getattr(alone.must, name).typical == pytest.approx(getattr(with_others.must, name).typical, rel=1e-9)
    assert alone.must.ph.typical == pytest.approx(with_others.must.ph.typical, rel=1e-9)


def test_that_the_acid_of_whole_fruit_is_measured_outside_of_it():
    batch = plain(preparation=Preparation(whole=True))
    start = must(batch, SHELF, 0)
    log = Log(readings=(TitrationReading(day=0.0, acid=6.0),))
    found = as_measured(start, batch.recipe, SHELF, None, acid_of_must(log))
    assert float(titratable_acid(found.free())[0]) == pytest.approx(6.0, abs=0.01)
    assert np.array_equal(found.pulp.liquid.masses, start.pulp.liquid.masses)


@pytest.mark.parametrize(("readings", "log", "ph"), [
    ([AcidityReading(day=0.0, ph=3.1), AcidityReading(day=-3.0, ph=3.5)], {}, 3.1),  # the one nearest to pitching
    ([AcidityReading(day=-6.0, ph=3.5)], {}, 3.5),  # of the juice, after pressing
    ([AcidityReading(day=1.5, ph=3.2)], {}, 3.2),
    ([AcidityReading(day=2.5, ph=3.2)], {}, None),  # of what comes of it
    ([AcidityReading(day=0.0, ph=3.1, excluded=True)], {}, None),
    ([AcidityReading(at="2026-08-13T19:30+02:00", ph=3.3)], {"pitched_at": PITCHED}, 3.3),
    ([AcidityReading(at="2026-08-13T19:30+02:00", ph=3.3)], {}, 3.3),  # nothing is pitched yet
    ([AcidityReading(ph=3.3)], {}, None),
])  # fmt: skip
def test_that_a_reading_tells_of_the_must_until_yeast_has_changed_it(readings, log, ph):
    found = ph_of_must(Log(readings=tuple(readings), **log))
    assert (found and found.typical) == ph


def test_that_a_stated_doubt_and_the_work_of_yeast_widen_the_range():
    def half(**fields):
        span = acid_of_must(Log(readings=(TitrationReading(acid=8.0, **fields),)))
        return (span.high - span.low) / 2.0

    assert half(day=0.0, doubt=0.5) == pytest.approx(0.5)
    assert half(day=0.0) < half(day=1.5)


@given(st.floats(0.0, 40.0), st.floats(0.0, 30.0))
def test_that_acid_takes_the_place_of_water_and_is_met_whatever_was_there(wanted, before):
    liquid = Liquid.of(water=np.full(1, 0.9), fructose=np.full(1, 0.2), malic=np.full(1, before / 1000.0))
    found = with_acid(liquid, np.full(1, wanted))
    assert float(titratable_acid(found)[0]) == pytest.approx(wanted, abs=0.005)
    assert float(found.mass[0]) == pytest.approx(float(liquid.mass[0]), rel=1e-9)
    assert float(found["fructose"][0]) == 0.2


# --- of the mead


@pytest.mark.parametrize("acid", [6.0, 11.0])
def test_that_a_later_titration_is_the_acid_of_the_mead_and_not_of_the_must(acid, by_recipe):
    found = logged(TitrationReading(day=40.0, acid=acid))
    assert found.must.measured == ()
    assert found.must.acid == by_recipe.must.acid
    assert found.mead.before.acid.typical == pytest.approx(acid, abs=0.01)
    assert found.mead.known.acid_from_log
    assert found.mead.before.gravity.typical == pytest.approx(by_recipe.mead.before.gravity.typical, abs=1e-4)


def test_that_what_is_measured_of_the_mead_stands_until_acid_is_stirred_in():
    def before(*doses):
        readings = (
            TitrationReading(day=40.0, acid=7.0), AcidityReading(day=40.0, ph=3.5), *doses,
            TitrationReading(day=50.0, acid=9.5), AcidityReading(day=50.0, ph=3.2),
        )  # fmt: skip
        known = logged(*readings)
        return known.mead.before.acid.typical, known.mead.ph_before.typical

    assert before() == (pytest.approx(9.5, abs=0.01), 3.2)
    assert before(Event(day=45.0, what=What.DOSE, key="erythritol", mass=0.1))[1] == 3.2
    # What was read after the acid tells of the mead with it; the mead before it is the one read before.
    assert before(Event(day=45.0, what=What.DOSE, key="malic-acid", mass=0.04)) == (pytest.approx(7.0, abs=0.01), 3.5)
