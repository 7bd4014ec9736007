"""As last time: doses per litre, what was logged before what was planned, and differences first."""

from __future__ import annotations

import pytest
from example_batches import plain, with_adjustment, worked_out

from planner.document import edits
from planner.document.batch import Addition, FruitLine, HoneyLine, Tasting
from planner.evaluation.reference_batch import as_last_time

THEN = with_adjustment(plain(), ("erythritol", 0.6), ("malic-acid", 0.02), gravity=1.002, volume=0.020)


def test_that_doses_per_litre_are_scaled():
    now = worked_out(with_adjustment(plain(), gravity=1.002, volume=0.010))
    last = as_last_time(worked_out(THEN), now)
    # 600 g in 20 L are 30 g/L, so 300 g for 10 L.
    assert [(part.key, part.dose, part.mass) for part in last.parts] == [
        ("erythritol", pytest.approx(30.0), pytest.approx(0.300)),
        ("malic-acid", pytest.approx(1.0), pytest.approx(0.010)),
    ]
    assert [(a.key, a.mass) for a in last.additions] == [(p.key, p.mass) for p in last.parts]
    assert not any(part.rests_on_log for part in last.parts)


def test_that_what_was_drunk_is_left_out_on_both_sides():
    then = edits.change_adjustment(THEN, drunk=0.001)
    now = worked_out(with_adjustment(plain(), gravity=1.002, volume=0.010, drunk=0.001))
    (erythritol, _) = as_last_time(worked_out(then), now).parts
    assert erythritol.dose == pytest.approx(0.6 / 0.019, rel=1e-6)
    assert erythritol.mass == pytest.approx(0.6 / 0.019 * 0.009, rel=1e-6)


def test_that_what_was_really_stirred_in_is_believed():
    logged = edits.log_doses(THEN, Addition(key="erythritol", mass=0.3), Addition(key="xylitol", mass=0.1))
    logged = edits.log_doses(logged, Addition(key="erythritol", mass=0.2))
    parts = {part.key: part for part in as_last_time(worked_out(logged), worked_out(THEN)).parts}
    assert parts["erythritol"].mass == pytest.approx(0.5)
    assert parts["xylitol"].mass == pytest.approx(0.1)
    assert parts["malic-acid"].mass == pytest.approx(0.02)
    assert [parts[key].rests_on_log for key in ("erythritol", "malic-acid", "xylitol")] == [True, False, True]


def test_that_what_differs_is_told_and_weighed():
    sharper = plain(fruits=(FruitLine(key="blackcurrant", mass=12.0),), honeys=(HoneyLine(key="blossom", mass=5.5),))
    last = as_last_time(worked_out(THEN), worked_out(with_adjustment(sharper, gravity=1.010)))
    by_what = {difference.what: difference for difference in last.differences}
    assert set(by_what) == {"alcohol", "acid", "gravity", "sweetness", "viscosity", "fermentable"}
    assert by_what["gravity"].steps == pytest.approx(4.0, abs=0.05)  # 0.008 in steps of 0.002
    assert by_what["acid"].matters
    assert by_what["acid"].now.typical > by_what["acid"].then.typical
    same = as_last_time(worked_out(THEN), worked_out(THEN))
    assert not any(difference.matters for difference in same.differences)


def test_that_labels_and_notes_come_along():
    then = edits.add_addition(THEN, Addition(key="vanilla-extract", mass=0.02, alcohol=0.35, sugar=100.0))
    then = edits.add_tasting(then, Tasting(note="A touch too sweet."))
    last = as_last_time(worked_out(then), worked_out(THEN))
    assert last.additions[-1].sugar == 100.0
    assert last.notes == ("A touch too sweet.",)
    assert last.name == THEN.name


def test_that_a_batch_without_additions_teaches_nothing():
    assert as_last_time(worked_out(plain()), worked_out(THEN)) is None
    empty = plain(fruits=(), honeys=(), water=0.0)
    assert as_last_time(worked_out(empty), worked_out(THEN)) is None
