"""The report's JSON keeps to the schema that comes with the program (JSON Schema, draft 2020-12, checked by `jsonschema`)."""

from __future__ import annotations

import json
from typing import get_args

import jsonschema
import pytest
from example_batches import SHELF, full, plain, with_adjustment, with_season, with_sheets, worked_out
from hypothesis import given, settings
from random_batches import batches

from planner.adjusting.refermentation_risk import Risk
from planner.adjusting.stabilisation import Treatment
from planner.document import edits
from planner.document.batch import Addition, Entry, Event, Feed, Glass, Trial, TrialPart, What, new_batch
from planner.document.reading_kinds import KINDS as KINDS_OF_ENTRY
from planner.evaluation.headline import STAGES
from planner.reference.shipped import resources, samples
from planner.reference.status import Status
from planner.report import main
from planner.reporting.adjustment import RESTS_ON
from planner.reporting.batch_file import load
from planner.reporting.data import FORMAT, SCHEMA, as_data, as_json
from planner.timeline.verdict_rule import KINDS
from planner.wording.finding import Level

RULES = json.loads((resources() / "report.schema.json").read_text(encoding="utf-8"))
VALIDATOR = jsonschema.Draft202012Validator(RULES)
PARTS = RULES["$defs"]
REPORT = PARTS["report"]["properties"]
SAMPLES = sorted(path.stem for path in samples().glob("*.meadbatch"))


def wrong(batch, members=4):
    """Where the JSON of a batch is not as the schema says, and why."""
    data = json.loads(as_json(as_data(worked_out(batch, members), SHELF)))
    return [f"{'/'.join(map(str, e.absolute_path))}: {e.message[:200]}" for e in VALIDATOR.iter_errors(data)]


def tasted():
    """A batch with all that an adjustment can hold: trial glasses, doses stirred in, bottles."""
    batch = with_adjustment(plain(), ("erythritol", 0.6), ("honey", 0.2), gravity=1.004, volume=0.020, ph=3.5)
    glasses = tuple(Glass(strength=s, score=v, rank=r) for s, v, r in ((0.0, 3.0, 3), (0.5, 8.0, 1), (1.0, 6.0, 2)))
    batch = edits.add_trial(batch, Trial(parts=(TrialPart(key="erythritol", dose=30.0),), glasses=glasses))
    batch = edits.log_doses(batch, Addition(key="erythritol", mass=0.36))
    return edits.add_readings(batch, Event(what=What.BOTTLED, day=90.0, bottles=24, size=0.75e-3))


def test_that_the_schema_is_one():
    jsonschema.Draft202012Validator.check_schema(RULES)


@pytest.mark.parametrize("name", SAMPLES)
def test_that_the_json_of_a_sample_fits(name):
    assert wrong(load(name), members=40) == []


@pytest.mark.parametrize(
    "batch",
    [new_batch(), plain(), full(), with_season(), with_sheets(), tasted()],
    ids=["new", "plain", "full", "season", "sheets", "tasted"],
)
def test_that_the_json_of_an_example_fits(batch):
    assert wrong(batch) == []


@given(batches())
@settings(max_examples=200)
def test_that_the_json_of_any_batch_fits(batch):
    assert wrong(batch, members=2) == []


@given(batches(unknown=True))
@settings(max_examples=30)
def test_that_the_json_of_a_batch_with_strange_ingredients_fits(batch):
    assert wrong(batch, members=0) == []


@pytest.mark.parametrize("spoil", [
    lambda data: data.pop("headline"), lambda data: data.update(extra=1), lambda data: data.update(stage="asleep"),
    lambda data: data["must"].update(volume_l=None), lambda data: data["finish"].update(day={"low": 1.0, "high": 2.0}),
    lambda data: data["citations"].update({"a key in prose": "x"}), lambda data: data["recipe"].update(water_kg="8"),
])  # fmt: skip
def test_that_the_schema_notices_what_does_not_fit(spoil):
    data = json.loads(as_json(as_data(worked_out(plain()), SHELF)))
    spoil(data)
    assert not VALIDATOR.is_valid(data)


def objects(part):
    """Every object that the schema describes."""
    if isinstance(part, dict):
        if part.get("type") == "object" or "object" in part.get("type", ()):
            yield part
        part = list(part.values())
    if isinstance(part, list):
        for inner in part:
            yield from objects(inner)


def test_that_every_object_names_its_keys_or_the_form_that_they_have():
    found = list(objects(PARTS))
    assert len(found) > 50
    for part in found:
        assert part["additionalProperties"] is False or "pattern" in part["propertyNames"], part


def test_that_no_key_is_prose():
    """Names of ingredients, steps and substances are values: they change with the words, and keys must not."""

    def keys(part):
        if isinstance(part, dict):
            yield from part
            part = list(part.values())
        if isinstance(part, list):
            for inner in part:
                yield from keys(inner)

    for batch in (full(), tasted(), plain(feeds=(Feed(key="blend", mass=0.002, day=1.0),))):
        data = as_data(worked_out(batch, 4), SHELF)
        citations = data.pop("citations")
        assert all(key.replace("_", "").isalnum() and key == key.lower() and key.isascii() for key in keys(data))
        assert all(key.replace("-", "").isalnum() and key == key.lower() and key.isascii() for key in citations)


def test_that_the_words_it_allows_are_those_of_the_program():
    adjusted, log = REPORT["adjustment"]["properties"], REPORT["log"]["items"]["properties"]
    events = {what.value for what in What}
    assert REPORT["stage"]["enum"] == list(STAGES)
    assert REPORT["verdict"]["properties"]["verdict"]["enum"] == list(KINDS)
    assert REPORT["findings"]["items"]["properties"]["level"]["enum"] == [level.name.lower() for level in Level]
    assert adjusted["stillness"]["properties"]["risk"]["enum"] == [risk.name.lower() for risk in Risk]
    assert set(adjusted["rests_on"]["enum"]) == set(RESTS_ON.values())
    states = adjusted["yeast_kept_from_working"]["properties"]["state"]["enum"]
    assert states == [state.name.lower() for state in Treatment]
    assert set(log["kind"]["enum"]) == {KINDS_OF_ENTRY[kind] for kind in get_args(Entry) if kind is not Event} | events
    statuses = PARTS["provenance"]["properties"]["rests_on"]["items"]["properties"]["status"]["enum"]
    assert set(statuses) == {status.value for status in Status}
    assert (REPORT["format"]["const"], REPORT["schema"]["const"]) == (FORMAT, SCHEMA)


def test_that_several_are_a_list_that_fits_and_that_the_schema_can_be_asked_for(capsys):
    assert main([*SAMPLES[:2], "--json"]) == 0
    reports = json.loads(capsys.readouterr().out)
    assert [report["file"] for report in reports] == SAMPLES[:2]
    assert VALIDATOR.is_valid(reports)
    with pytest.raises(SystemExit) as ended:
        main(["--schema"])
    assert ended.value.code == 0
    assert json.loads(capsys.readouterr().out) == RULES
