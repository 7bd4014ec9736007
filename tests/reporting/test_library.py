"""What scripts and notebooks take from the package: its examples are true, it is loaded late, and it refuses what cannot be."""

from __future__ import annotations

import ast
import doctest
import json
import subprocess
import sys
from math import inf, nan
from pathlib import Path

import jsonschema
import msgspec
import pytest
from example_batches import plain, with_log

import planner
from planner import library
from planner.document.batch import Event, HoneyLine, What
from planner.document.edits import EditRefused, change_rules
from planner.reference.catalogue import UnknownIngredient
from planner.reference.shipped import resources, samples

RASPBERRY = library.evaluate(library.open_batch("raspberry-finished"), members=10)


def run(code):
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)


def test_that_its_worked_examples_are_true():
    failed, tried = doctest.testmod(library)
    assert failed == 0
    assert tried >= 20


def test_that_there_are_five_worked_examples_and_more():
    assert planner.library.__doc__ is not None
    told = [part for part in planner.library.__doc__.split("\n\n") if part.startswith(">>>")]
    assert len(told) >= 5


def test_that_the_package_hands_on_what_the_library_offers():
    assert set(planner.__all__) == {*library.__all__, "__version__"}
    assert all(getattr(planner, name) is getattr(library, name) for name in library.__all__)
    assert set(planner.__all__) <= set(dir(planner))


def test_that_readers_of_types_are_told_the_same_names():
    tree = ast.parse(Path(planner.__file__).read_text(encoding="utf-8"))
    imports = [node for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) and node.module == "planner.library"]
    assert [alias.name for node in imports for alias in node.names] == library.__all__


def test_that_a_name_that_is_not_there_is_an_error_as_usual():
    with pytest.raises(AttributeError, match="module 'planner' has no attribute 'brew'"):
        planner.brew  # noqa: B018


def test_that_to_import_the_package_loads_nothing():
    done = run(
        "import sys\nbefore = set(sys.modules)\nimport planner\n"
        "sys.exit(', '.join(set(sys.modules) - before - {'planner'}) or 0)"
    )
    assert done.returncode == 0, done.stderr


def test_that_a_script_never_loads_the_window():
    done = run(
        "import sys\nfrom planner import evaluate, find_dose, open_batch, plan, report_data\n"
        "outcome = evaluate(open_batch('raspberry-finished'), members=2)\nreport_data(outcome)\n"
        "find_dose(outcome, ['erythritol'], sweetness=30.0)\n"
        "plan(outcome.batch, left_open=('honey',), alcohol=0.12)\n"
        "sys.exit(', '.join(m for m in ('PySide6', 'matplotlib', 'pint') if m in sys.modules) or 0)"
    )
    assert done.returncode == 0, done.stderr


def test_that_a_batch_is_saved_into_a_new_file_and_never_over_another(tmp_path):
    path = tmp_path / "hedge.meadbatch"
    library.save_batch(plain(), path)
    assert library.open_batch(path) == plain()
    with pytest.raises(FileExistsError):
        library.save_batch(plain(water=1.0), path)
    assert library.open_batch(path) == plain()


def test_that_nothing_is_written_of_a_batch_that_no_file_can_hold(tmp_path):
    with pytest.raises(library.BatchFileError, match=r"batch\.recipe\.water_kg"):
        library.save_batch(plain(water=nan), tmp_path / "new.meadbatch")
    assert list(tmp_path.iterdir()) == []


def test_that_a_folder_is_opened_batch_by_batch():
    names = [batch.name for batch in library.open_batches(samples())]
    assert names == ["Hedge Blackcurrant", "Lane Damson", "Old Wall Quince", "Canes Raspberry"]


def test_that_a_folder_without_a_batch_is_an_error(tmp_path):
    with pytest.raises(library.BatchFileError, match="There is no batch in the folder"):
        list(library.open_batches(tmp_path))


def test_that_its_data_keep_to_the_schema_of_the_report():
    rules = json.loads((resources() / "report.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(rules).validate(library.report_data(RASPBERRY))


def test_that_what_cannot_be_is_refused_with_its_place():
    for work in (library.evaluate, library.plan):
        with pytest.raises(library.ImpossibleBatch, match=r"batch\.recipe\.honeys\[0\]\.mass_kg"):
            work(plain(honeys=(HoneyLine(key="blossom", mass=-1.0),)))
    with pytest.raises(EditRefused, match="alcohol_fraction"):
        library.plan(plain(), left_open=("honey",), alcohol=12.0)
    with pytest.raises(TypeError):
        library.plan(plain(), strength=0.12)


def test_that_a_plan_without_a_wish_goes_by_that_of_the_recipe():
    wish = library.Wish(left_open=("honey",), alcohol=0.12)
    assert library.plan(plain(wish=wish)).amounts == library.plan(plain(), left_open=("honey",), alcohol=0.12).amounts


def test_that_a_wish_beside_that_of_the_recipe_stands_alone():
    wish = library.Wish(left_open=("honey",), alcohol=0.12)
    asked = library.plan(plain(wish=wish), left_open=("water",), gravity=1.09)
    assert set(asked.amounts) == {"water"}


def test_that_a_dose_reaches_what_is_wanted_between_its_ends():
    found = library.find_dose(RASPBERRY, ["erythritol"], sweetness=(25.0, None), gravity=(None, 1.02))
    assert found.is_reached
    assert found.values["sweetness"] == pytest.approx(25.0, abs=0.1)  # the smallest dose, within a hundredth of a step
    assert found.values["gravity"] <= 1.02


def test_that_what_was_stirred_in_is_the_least_of_a_dose():
    dosed = Event(what=What.DOSE, key="erythritol", mass=0.9, day=70.0)
    batch = RASPBERRY.batch
    given = msgspec.structs.replace(
        batch, log=msgspec.structs.replace(batch.log, readings=(*batch.log.readings, dosed))
    )
    found = library.find_dose(library.evaluate(given, members=10), ["erythritol"], sweetness=(1.0, None))
    assert found.mass == pytest.approx(0.9)


@pytest.mark.parametrize("value", [nan, inf, (nan, None), (0.0, inf)])
def test_that_a_dose_for_what_is_no_number_is_refused(value):
    with pytest.raises(ValueError, match="sweetness: a number must be finite"):
        library.find_dose(RASPBERRY, ["erythritol"], sweetness=value)


def test_that_a_dose_for_what_is_unknown_is_refused():
    with pytest.raises(ValueError, match="'colour' cannot be wanted"):
        library.find_dose(RASPBERRY, ["erythritol"], colour=1.0)
    with pytest.raises(UnknownIngredient):
        library.find_dose(RASPBERRY, ["stardust"], sweetness=30.0)
    with pytest.raises(ValueError, match="There is no mead"):
        library.find_dose(library.evaluate(with_log(plain(fruits=(), honeys=())), 0), ["erythritol"], sweetness=30.0)


def test_that_a_dose_obeys_the_house_rules():
    natural = change_rules(RASPBERRY.batch, natural_only=True)
    with pytest.raises(ValueError, match=r"Xylitol.* may not be used\. House rule"):
        library.find_dose(library.evaluate(natural, members=0), ["xylitol"], sweetness=30.0)
