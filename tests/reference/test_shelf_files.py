"""The folders that come with the program, and what the shelf must not drag in."""

from __future__ import annotations

import subprocess
import sys

import pytest

from planner.reference import shipped


def test_that_a_checkout_finds_its_tables_and_samples_beside_the_package():
    assert (shipped.resources() / "tables" / "fruits.csv").is_file()
    assert shipped.samples().is_dir()


def test_that_an_installed_program_finds_them_inside_the_package(tmp_path):
    package = tmp_path / "planner"
    (package / "_resources").mkdir(parents=True)
    (tmp_path / "resources").mkdir()  # a stranger's folder beside it must not win
    assert shipped.folder("resources", package) == package / "_resources"


def test_that_a_damaged_installation_says_what_is_missing_and_where_it_looked(tmp_path):
    package = tmp_path / "planner"
    with pytest.raises(shipped.ShippedFilesError) as caught:
        shipped.folder("samples", package)
    text = str(caught.value)
    assert "'samples' is missing" in text
    assert str(package / "_samples") in text
    assert str(tmp_path / "samples") in text


def test_that_reading_the_shelf_loads_neither_screen_nor_units_nor_solvers():
    code = (
        "import sys; from planner.reference.catalogue import catalogue; catalogue();"
        "print(sorted({'scipy', 'pint', 'matplotlib', 'PySide6', 'csv'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "['csv']"
