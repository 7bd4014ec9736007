"""A log as one sequence: whatever stands in it as columns does all that a tuple of readings does."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from random_entries import logs, runs

from planner.document.batch import Event, HydrometerReading, Log, SensorReading, SugarReading, new_batch
from planner.document.codec import decode, encode
from planner.document.columnar_log import Entries, Run


@given(runs())
def test_that_each_reading_of_a_run_has_what_its_columns_say(run):
    made = run.made()
    assert len(made) == len(run)
    for name in run.columns:
        values = [getattr(reading, name) for reading in made]
        assert values == [v.decode() if isinstance(v, bytes) else v for v in run.columns[name].tolist()]
    shared = [name for name in run.like.__struct_fields__ if name not in run.columns]
    assert all(getattr(reading, name) == getattr(run.like, name) for reading in made for name in shared)
    assert {type(reading) for reading in made} == {type(run.like)}
    assert msgspec.convert(msgspec.to_builtins(made), tuple[type(run.like), ...]) == made


@given(logs, st.data())
def test_that_entries_are_as_a_tuple_of_the_same(log, data):
    same = tuple(log)
    assert (len(log), list(log), bool(log)) == (len(same), list(same), bool(same))
    assert log == same
    assert same == log
    assert hash(log) == hash(same)
    start, stop = (data.draw(st.integers(-9, 30)) for _ in range(2))
    assert log[start:stop] == same[start:stop]
    assert log[::-2] == same[::-2]
    assert log + same == same + same
    assert same + log == same + same
    assert (*log, 1) == (*same, 1)
    if same:
        place = data.draw(st.integers(-len(same), len(same) - 1))
        assert log[place] == same[place]
        assert log.index(same[place]) == same.index(same[place])
        assert log != same[1:]


@given(logs, logs)
def test_that_equal_entries_are_equal_however_they_are_kept(one, other):
    assert (one == other) == (tuple(one) == tuple(other))
    assert one == Entries(tuple(one))
    assert one.same(other).tolist() == [a == b for a, b in zip(tuple(one), tuple(other), strict=False)]


@given(logs, st.data())
def test_that_edits_give_what_they_give_of_a_tuple(log, data):
    same = tuple(log)
    if data.draw(st.booleans()):
        log.every()  # what was made once must be the same after an edit
    chosen = data.draw(st.sets(st.integers(0, max(len(same) - 1, 0)), max_size=len(same)))
    assert log.without(chosen) == tuple(r for n, r in enumerate(same) if n not in chosen)
    out = data.draw(st.booleans())
    left = tuple(msgspec.structs.replace(r, excluded=out) if n in chosen else r for n, r in enumerate(same))
    after = log.leaving_out(chosen, out)
    assert after == left
    assert tuple(after) == left
    for place in chosen:
        assert log.with_one(place, SugarReading(sugar=1.0)) == (
            *same[:place],
            SugarReading(sugar=1.0),
            *same[place + 1 :],
        )
    assert tuple(log) == same


@given(logs, st.booleans())
def test_that_columns_hold_the_fields_of_all(log, made):
    if made:
        log.every()
    for name in ("day", "temperature", "gravity", "doubt", "sugar"):
        values = [getattr(reading, name, None) for reading in log]
        assert log.values(name) == values
        np.testing.assert_array_equal(log.floats(name), np.array(values, dtype=float))
    for name in ("at", "note", "instrument"):
        assert log.values(name) == [getattr(reading, name) for reading in log]
        assert log.tells(name) == any(getattr(reading, name) for reading in log)
    assert log.flags("excluded").tolist() == [reading.excluded for reading in log]
    kinds = [type(reading) for reading in log]
    assert {kind: places.tolist() for kind, places in log.places().items()} == {
        kind: [n for n, other in enumerate(kinds) if other is kind] for kind in kinds
    }
    for kind in (Event, SensorReading, (HydrometerReading, SugarReading)):
        asked = kind if isinstance(kind, tuple) else (kind,)
        assert list(log.of_kind(*asked)) == [(n, r) for n, r in enumerate(log) if isinstance(r, asked)]


@given(logs)
def test_that_a_log_with_columns_is_written_and_opened_as_any_other(log):
    columns = msgspec.structs.replace(new_batch(), log=Log(readings=log))
    plain = msgspec.structs.replace(new_batch(), log=Log(readings=tuple(log)))
    assert columns == plain
    assert encode(columns) == encode(plain)
    assert decode(encode(columns)) == columns


def test_that_readings_that_an_edit_does_not_touch_stay_the_same_ones():
    run = Run(SensorReading(gravity=1.0), {"gravity": np.linspace(1.0, 1.1, 9), "day": np.arange(9.0)})
    log = Entries((SugarReading(sugar=1.0),), run)
    every = tuple(log)
    assert log.with_one(4, SugarReading(sugar=2.0))[7] is every[7]
    assert log.without([2, 5])[3] is every[4]
    assert log.leaving_out([3])[6] is every[6]
    assert (log + Entries((SugarReading(sugar=3.0),)))[9] is every[9]


def test_that_a_log_holds_entries_whatever_it_is_given():
    assert isinstance(Log().entries, Entries)
    assert isinstance(Log(readings=[SugarReading(sugar=1.0)]).entries, Entries)
    entries = Entries((SugarReading(sugar=1.0),))
    assert Log(readings=entries).entries is entries


def test_that_columns_cannot_be_written_to():
    column = np.array([1.0, 1.1])
    run = Run(SensorReading(gravity=1.0), {"gravity": column})
    for writable in (run.columns["gravity"], run.floats("gravity"), Entries(run)[:1].pieces[0].columns["gravity"]):
        with pytest.raises(ValueError, match="read-only"):
            writable[0] = 2.0


def test_that_appended_entries_join_those_before_them():
    log = Entries()
    for sugar in range(50):
        log += [SugarReading(sugar=float(sugar))]
    assert len(log.pieces) == 1
    assert [reading.sugar for reading in log] == list(range(50))
