"""The file of a batch: nothing is lost, old files open, and whatever is wrong is said in one sentence with its place."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from unittest.mock import patch

import msgspec
import pytest
from example_batches import (
    full,
    plain,
    with_checks,
    with_learning,
    with_season,
    with_sheets,
    with_titration,
    with_volumes,
)
from hypothesis import given
from hypothesis import strategies as st
from random_batches import batches
from random_entries import alike, logs

from planner.document import columnar_log, edits, migrations
from planner.document.batch import Batch, Feed, FruitLine, HydrometerReading, Log, Yeast, new_batch
from planner.document.codec import FORMAT, MOST_VALUES, SCHEMA, SUFFIX, BatchFileError, decode, encode, encode_quickly
from planner.document.columnar_log import Entries, Run

DATA = Path(__file__).parent.parent / "data"


@given(batches(unknown=True))
def test_that_any_batch_comes_back_the_same(batch):
    assert decode(encode(batch)) == batch
    assert decode(encode_quickly(batch)) == batch


def test_that_new_plain_and_full_batches_come_back_the_same():
    for batch in (new_batch(), plain(), full()):
        assert decode(encode(batch)) == batch


def test_that_the_same_batch_is_always_written_byte_for_byte_the_same():
    assert encode(full()) == encode(decode(encode(full())))
    assert encode(full()).endswith(b"}\n")


def test_that_a_file_of_schema_1_opens_for_ever():
    batch = decode((DATA / f"schema-1{SUFFIX}").read_bytes())
    assert batch == full()


def test_that_a_file_of_schema_2_opens_for_ever():
    batch = decode((DATA / f"schema-2{SUFFIX}").read_bytes())
    assert batch == with_season()
    assert [type(piece) for piece in batch.log.entries.pieces] == [tuple, Run, Run]


def test_that_a_file_of_schema_3_opens_for_ever():
    assert decode((DATA / f"schema-3{SUFFIX}").read_bytes()) == with_titration()


def test_that_a_file_of_schema_4_opens_for_ever():
    assert decode((DATA / f"schema-4{SUFFIX}").read_bytes()) == with_sheets()


def test_that_a_file_of_schema_5_opens_for_ever():
    assert decode((DATA / f"schema-5{SUFFIX}").read_bytes()) == with_learning()


def test_that_a_file_of_schema_6_opens_for_ever():
    assert decode((DATA / f"schema-6{SUFFIX}").read_bytes()) == with_checks()


def test_that_a_file_of_schema_7_opens_for_ever():
    assert decode((DATA / f"schema-7{SUFFIX}").read_bytes()) == with_volumes()


@pytest.mark.parametrize(
    "name", ["../glass.jpg", "/glass.jpg", "a\\b.jpg", ".hidden", "c:glass.jpg", "x/y", "", "a\nb"]
)
def test_that_a_photograph_lies_beside_the_file_and_nowhere_else(name):
    raw = json.loads(encode(with_sheets()))
    raw["batch"]["tastings"][-1]["photograph_file"] = name
    with pytest.raises(BatchFileError, match=r"batch\.tastings\[2\]\.photograph_file: expected"):
        decode(json.dumps(raw).encode())


@pytest.mark.parametrize(
    ("field", "value", "why"),
    [
        ("codes", [417, 417, 233], "each glass of a serving has one code"),
        ("codes", [417, 902], "each glass of a serving has one code"),
        ("answer", [7], r"answer\[0\]"), ("answer", [3], "an answer names glasses of its serving"),
        ("samples", [0, 1, 2], "a serving holds samples of its test"), ("codes", [17, 902, 233], r"codes\[0\]"),
    ],
)  # fmt: skip
def test_that_an_impossible_serving_is_refused_with_its_place(field, value, why):
    raw = json.loads(encode(with_sheets()))
    raw["batch"]["blind_tests"][0]["servings"][0][field] = value
    with pytest.raises(BatchFileError, match=why):
        decode(json.dumps(raw).encode())


def test_that_there_is_a_file_of_every_schema_ever_shipped():
    assert {path.name for path in DATA.glob(f"schema-*{SUFFIX}")} == {
        f"schema-{n}{SUFFIX}" for n in range(1, SCHEMA + 1)
    }


def test_that_every_schema_has_a_way_up():
    assert set(migrations.MIGRATIONS) == set(range(1, SCHEMA))


def test_that_a_schema_cannot_have_two_ways_up(monkeypatch):
    monkeypatch.setattr(migrations, "MIGRATIONS", {})
    step = migrations.migration(from_schema=1)(lambda raw: raw | {"notes": "migrated"})
    assert dict(migrations.MIGRATIONS) == {1: step}
    with pytest.raises(ValueError, match="schema 1 has a migration already"):
        migrations.migration(from_schema=1)(lambda raw: raw)


def test_that_older_files_are_migrated_step_by_step(monkeypatch):
    from planner.document import codec

    steps = {1: lambda raw: raw | {"notes": raw["notes"] + "1"}, 2: lambda raw: raw | {"notes": raw["notes"] + "2"}}
    old = envelope()
    old["batch"]["notes"] = "0"
    monkeypatch.setattr(codec, "SCHEMA", 3)
    monkeypatch.setattr(codec, "MIGRATIONS", steps)
    assert decode(as_bytes(old | {"schema": 1})).notes == "012"
    assert decode(as_bytes(old | {"schema": 2})).notes == "02"
    assert decode(as_bytes(old | {"schema": 3})).notes == "0"


def every_key(raw):
    if isinstance(raw, dict):
        for key, value in raw.items():
            yield key, value
            yield from every_key(value)
    elif isinstance(raw, list):
        for value in raw:
            yield from every_key(value)


def test_that_every_number_in_the_file_carries_its_unit_in_its_key():
    units = (
        "_kg",
        "_m3",
        "_k",
        "_d",
        "_fraction",
        "_sg20",
        "_per_m3",
        "_pa_s",
        "_price",
        "_count",
        "indicated_gravity",
    )
    numbers = {key for key, value in every_key(envelope()["batch"]) if type(value) in (int, float)}
    assert numbers
    assert [key for key in sorted(numbers) if not key.endswith(units)] == []


def test_that_a_file_holds_decisions_and_no_results():
    keys = {key for key, _ in every_key(envelope())}
    results = {
        "alcohol",
        "finish",
        "curve",
        "days",
        "headline",
        "findings",
        "must",
        "sweetness",
        "viscosity",
        "effects",
    }
    assert keys.isdisjoint(results)
    assert set(envelope()) == {"format", "schema", "batch"}


def envelope(batch: Batch | None = None):
    """The content of a good file, to be spoilt."""
    return json.loads(encode(batch or full()))


def as_bytes(raw):
    return json.dumps(raw).encode()


def refused(data: bytes) -> str:
    with pytest.raises(BatchFileError) as caught:
        decode(data)
    text = str(caught.value)
    assert len(text) > 10
    assert text.endswith(".")
    return text


def opened(data: bytes) -> Batch | str:
    """The batch in a file, or why it is refused; any other exception is a fault."""
    try:
        return decode(data)
    except BatchFileError as error:
        return str(error)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "The file is empty"),
        (b"  \n\t", "The file is empty"),
        (b"[]", "not a batch"),
        (b"null", "not a batch"),
        (b"17", "not a batch"),
        (b'"batch"', "not a batch"),
        (b"{}", '"format" is missing'),
        (b'{"format": 3}', '"format" is 3'),
        (b"\xff\xfe\x00{", "This is not a batch file. Choose a file that this program saved."),
        (b"PK\x03\x04", "This is not a batch file. Choose a file that this program saved."),
        (b'{\n"\xc3\xa9": 1, "format": "\xff"}', "damaged at line 2, column 20: what stands there is no text in UTF-8"),
        (b'{"format": "x", }', "damaged at line 1, column 17: nothing follows the comma there"),
        (b"{'format': 1}", "damaged at line 1, column 2: a name in quotation marks is accepted there"),
        (b"{1: 2}", "damaged at line 1, column 2: a name in quotation marks is accepted there"),
        (b'{"a" 1}', "damaged at line 1, column 6: a colon is accepted there"),
        (b'{\n"a": 1,\n"b": NaN\n}', "damaged at line 3, column 6: what stands there does not belong in a batch"),
        (b'{\n"a": two, "b": 3}', "damaged at line 2, column 6: what stands there does not belong in a batch"),
        (b'{\n"a": 1}\n{}', "damaged at line 3, column 1: something follows the end of the batch"),
        (b'{\n"a": ', "cut off at line 2, column 6: its end is missing. Choose a backup"),
        (b'{"a": ' + b"9" * 6000 + b", b}", "damaged at line 1, column 6,009: "),
        (b'{"schema": ' + b"9" * 6000 + b"}", "a number in it is beyond all limits"),
    ],
)
def test_that_what_is_no_batch_file_is_refused_in_words(data, words):
    assert words in refused(data)


@pytest.mark.parametrize("depth", [200, 100_000])
@pytest.mark.parametrize("brackets", [(b"[", b"]"), (b'{"a":', b"}")])
def test_that_deep_nesting_is_refused_wherever_it_stands(depth, brackets):
    opening, closing = brackets
    nested = opening * depth + b"1" + closing * depth
    refused(nested)
    refused(b'{"format": "%s", "schema": 1, "batch": {"name": %s}}' % (FORMAT.encode(), nested))


@pytest.mark.parametrize("schema", [0, -1, 99, "1", True, 1.0, None, [1]])
def test_that_a_strange_schema_is_refused_and_named(schema):
    text = refused(as_bytes(envelope() | {"schema": schema}))
    assert "schema" in text
    assert ("newer version" in text) == (schema == 99)


@pytest.mark.parametrize("key", ["format", "schema", "batch"])
def test_that_an_envelope_without_one_of_its_parts_is_refused(key):
    raw = envelope()
    del raw[key]
    assert f'"{key}"' in refused(as_bytes(raw))


def test_that_something_strange_beside_the_batch_is_refused_and_named():
    assert "'extra'" in refused(as_bytes(envelope() | {"extra": 1}))


def parts(raw, path=()):
    """The path of every value in a batch."""
    items = raw.items() if isinstance(raw, dict) else enumerate(raw) if isinstance(raw, list) else ()
    for key, value in items:
        yield (*path, key)
        yield from parts(value, (*path, key))


PATHS = list(parts(envelope()["batch"]))


def spoilt(path, value):
    raw = copy.deepcopy(envelope())
    inner = raw["batch"]
    for key in path[:-1]:
        inner = inner[key]
    if value is KeyError:
        del inner[path[-1]]
    else:
        inner[path[-1]] = value
    return as_bytes(raw)


def place(path):
    text = "batch"
    for key in path:
        text += f"[{key}]" if isinstance(key, int) else f".{key}"
    return text


@pytest.mark.parametrize("path", PATHS, ids=place)
def test_that_a_value_of_the_wrong_kind_is_refused_with_its_place(path):
    text = refused(spoilt(path, {"surprise": [1]}))
    # A part that is itself an object is refused for the key it does not know; the place is then the part.
    assert f"In {place(path)}" in text or f"In {place(path)}.surprise" in text or "surprise" in text


def needed(path):
    """Whether a file without this key says too little; everything else has a default."""
    always = {"name", "recipe", "yeast", "key", "mass_kg", "from_day_d", "kind", "indicated_gravity", "sugar_kg_per_m3"}
    step, tasting = path[:2] == ("recipe", "temperatures"), path[0] == "tastings"
    return path[-1] in always or (step and path[-1] == "temperature_k") or (tasting and path[-1] == "note")


KEYS = [path for path in PATHS if isinstance(path[-1], str)]


@pytest.mark.parametrize("path", [path for path in KEYS if needed(path)], ids=place)
def test_that_a_missing_key_is_refused_with_its_place(path):
    text = refused(spoilt(path, KeyError))
    assert f"In {place(path[:-1])}" in text
    assert f"“{path[-1]}” is missing" in text


@pytest.mark.parametrize("path", [path for path in KEYS if not needed(path)], ids=place)
def test_that_a_key_with_a_default_may_be_missing(path):
    batch = decode(spoilt(path, KeyError))
    inner = envelope(batch)["batch"]
    for key in path:
        inner = inner[key]
    default = inner
    assert decode(spoilt(path, default)) == batch


@pytest.mark.parametrize(
    "path", [(), ("recipe",), ("log",), ("adjustment",), ("recipe", "honeys", 0), ("log", "readings", 3)]
)
def test_that_an_unknown_key_is_refused_with_its_place(path):
    text = refused(spoilt((*path, "colour"), "red"))
    assert f"In {place(path)}" in text
    assert "“colour” is not known" in text


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("recipe", "water_kg"), -0.001), (("recipe", "water_kg"), 1e9), (("recipe", "water_kg"), "8"), (("recipe", "water_kg"), None),
        (("recipe", "vessel_m3"), 0), (("recipe", "fruits", 0, "mass_kg"), True), (("recipe", "fruits", 0, "stoned"), 1),
        (("recipe", "fruits", 1, "press_yield_fraction"), 1.01), (("recipe", "fruits", 2, "juice_gravity_sg20"), 2.0),
        (("recipe", "honeys", 1, "moisture_fraction"), -0.1), (("recipe", "temperatures", 0, "temperature_k"), 20),
        (("recipe", "yeast", "key"), ""), (("log", "hydrometer", "calibration_k"), 68),
        (("log", "readings", 0, "indicated_gravity"), 1098.5), (("log", "readings", 0, "kind"), "thermometer"),
        (("log", "readings", 3, "sugar_kg_per_m3"), -1), (("adjustment", "gravity_sg20"), 0), (("name",), ""), (("name",), None),
        (("recipe", "preparation", "cold_soak_d"), 61), (("notes",), "x" * 20_001), (("recipe", "fruits"), {}),
    ],
    ids=str,
)  # fmt: skip
def test_that_an_impossible_value_is_refused_with_its_place(path, value):
    text = refused(spoilt(path, value))
    assert place(path) in text


@given(st.sampled_from(PATHS), st.sampled_from([None, True, -1, "1", [], {}, [[]], 1e400, "x" * 300]))
def test_that_whatever_stands_in_a_file_it_opens_whole_or_not_at_all(path, value):
    data = spoilt(path, value).replace(b"Infinity", b"1e400")  # JSON has no word for it
    found = opened(data)
    assert found if isinstance(found, str) else decode(encode(found)) == found


WHOLE = encode(full())


@pytest.mark.parametrize("length", range(0, len(WHOLE) - 1, 50))
def test_that_a_file_that_was_cut_off_is_refused(length):
    refused(WHOLE[:length])


@given(st.binary(max_size=200))
def test_that_any_bytes_are_refused_in_words(data):
    refused(data)


def test_that_more_values_than_any_batch_has_are_refused_before_they_fill_the_memory():
    assert "million values" in refused(WHOLE.replace(b'"notes"', b'"x": [' + b"0," * MOST_VALUES + b'0], "notes"', 1))


@pytest.mark.parametrize(
    ("wrong", "told"), [(rb"\q", "nothing known follows the backslash"), (b"\xff", "no text in UTF-8")]
)
def test_that_a_damaged_text_deep_in_a_file_is_told_with_its_line(wrong, told):
    place = WHOLE.index(b'"notes": "') + len(b'"notes": "')
    text = refused(WHOLE[:place] + wrong + WHOLE[place:])
    assert f"at line {WHOLE[:place].count(b'%c' % 10) + 1}, column" in text
    assert told in text


def test_that_the_mark_of_a_text_editor_before_the_first_sign_does_no_harm():
    assert decode(b"\xef\xbb\xbf" + WHOLE) == full()


@given(st.integers(0, len(WHOLE) - 1), st.integers(0, 255))
def test_that_a_file_with_one_wrong_byte_opens_or_is_refused_in_words(position, byte):
    data = WHOLE[:position] + bytes([byte]) + WHOLE[position + 1 :]
    found = opened(data)
    assert found if isinstance(found, str) else decode(encode(found)) == found


@pytest.mark.parametrize(
    "batch",
    [
        plain(water=float("nan")), plain(water=float("inf")), plain(water=-1.0), plain(vessel=0.0),
        plain(fruits=(FruitLine(key="", mass=1.0),)), plain(yeast=Yeast(key="all-rounder", pitch=-1.0)),
        plain(feeds=(Feed(key="blend", mass=float("nan")),)),
        msgspec.structs.replace(plain(), name=""),
        msgspec.structs.replace(plain(), name="lone \ud800 surrogate"),
        msgspec.structs.replace(plain(), log=msgspec.structs.replace(plain().log, readings=(HydrometerReading(gravity=9.0),))),
    ],
    ids=range(10),
)  # fmt: skip
def test_that_a_batch_that_could_not_be_opened_again_is_not_written(batch):
    with pytest.raises(BatchFileError, match="cannot be written"):
        encode(batch)


@pytest.mark.parametrize(
    ("field", "wrong", "told"),
    [
        ("water_kg", "a lot", "In batch.recipe.water_kg: expected a number, got a text."),
        ("water_kg", -3.0, "In batch.recipe.water_kg: expected a number of at least 0.0."),
        ("water_kg", None, "In batch.recipe.water_kg: expected a number, got nothing."),
        ("calendar", 5, "In batch.recipe.calendar: expected a text, got a whole number."),
        ("fruits", {}, "In batch.recipe.fruits: expected a list, got an object."),
        ("vessel_m3", "big", "In batch.recipe.vessel_m3: expected a number or nothing, got a text."),
    ],
)
def test_that_a_wrong_value_is_told_in_the_words_of_people(field, wrong, told):
    document = envelope()
    document["batch"]["recipe"][field] = wrong
    with pytest.raises(BatchFileError) as refusal:
        decode(as_bytes(document))
    assert str(refusal.value) == told


# --- long runs of readings


def of_log(readings) -> Batch:
    return msgspec.structs.replace(new_batch(), log=Log(readings=readings))


@given(st.lists(st.one_of(alike, logs.map(tuple)), max_size=4))
def test_that_runs_of_any_kind_come_back_the_same_and_are_written_alike(pieces):
    with patch.object(columnar_log, "LONG", 3):
        batch = of_log(tuple(reading for piece in pieces for reading in piece))
        in_pieces = of_log(Entries(*pieces))
        data = encode(batch)
        assert encode(in_pieces) == data
        assert decode(data) == batch
        assert encode(decode(data)) == data
        assert decode(encode_quickly(in_pieces)) == batch


def test_that_each_number_of_a_long_run_stands_once_in_the_file():
    text = encode(with_season()).decode()
    for reading in with_season().log.entries[-120:]:
        assert text.count(f'"{reading.at}"') == 1


def run_in_file():
    """The content of a file with a run, and the run in it."""
    raw = envelope(with_season())
    readings = raw["batch"]["log"]["readings"]
    return raw, readings[-1], f"batch.log.readings[{len(readings) - 1}]"


def test_that_columns_of_unlike_length_are_refused_with_their_place():
    raw, run, place = run_in_file()
    run["then"]["indicated_gravity"].pop()
    text = refused(as_bytes(raw))
    assert place in text
    assert "one length" in text


def test_that_a_column_that_its_first_reading_lacks_is_refused_with_its_place():
    raw, run, place = run_in_file()
    del run["first"]["temperature_k"]
    assert f"In {place}: a column of a run holds temperature_k, which its first reading lacks" in refused(as_bytes(raw))


def test_that_a_run_without_columns_is_refused():
    raw, run, place = run_in_file()
    run["then"] = {}
    assert place in refused(as_bytes(raw))


@pytest.mark.parametrize(("key", "value"), [("indicated_gravity", 9.0), ("indicated_gravity", "1.05"), ("at", 5)])
def test_that_an_impossible_value_in_a_column_is_refused_with_its_place(key, value):
    raw, run, place = run_in_file()
    run["then"][key][7] = value
    assert f"In {place}.then.{key}[" in refused(as_bytes(raw))


@pytest.mark.parametrize("year", ["0001", "1405", "1975", "2077", "9026"])
def test_that_moments_outside_a_century_around_today_are_refused_with_their_place(year):
    raw, run, place = run_in_file()
    run["then"]["at"][7] = f"{year}-03-01T10:00:00+01:00"
    assert f"In {place}: the year {year}" in refused(as_bytes(raw))
    raw = json.loads(encode(full()))
    raw["batch"]["log"]["pitched_at"] = f"{year}-03-01T10:00:00+01:00"
    told = "In batch.log.pitched_at: expected a moment in the years 1976 to 2076."
    assert refused(json.dumps(raw).encode()) == told
    with pytest.raises(edits.EditRefused, match="a moment in the years 1976 to 2076"):
        edits.change_log(full(), pitched_at=raw["batch"]["log"]["pitched_at"])


@pytest.mark.parametrize("year", ["1976", "2026", "2076"])
def test_that_moments_within_a_century_around_today_are_taken(year):
    raw = json.loads(encode(full()))
    raw["batch"]["log"]["pitched_at"] = f"{year}-03-01T10:00:00+01:00"
    assert decode(json.dumps(raw).encode()).log.pitched_at.startswith(year)


@pytest.mark.parametrize("moment", ["yesterday", "2026-02-30T10:00:00+01:00", "2026-03-01T10:00+01:00", "“", ""])
def test_that_a_run_with_an_odd_moment_opens_as_single_readings(moment):
    raw, run, _place = run_in_file()
    run["then"]["at"][7] = moment
    batch = decode(as_bytes(raw))
    assert batch.log.entries.values("at").count(moment) == 1
    assert decode(encode(batch)) == batch
