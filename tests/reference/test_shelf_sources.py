"""Every figure has a source, every source is used, and every status is one of four."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import planner
from planner.model.components import COMPONENTS
from planner.reference.catalogue import catalogue
from planner.reference.shipped import resources
from planner.reference.sources import KINDS, read_sources
from planner.reference.status import Status
from planner.reference.tables import TableError, read

TABLES = sorted((resources() / "tables").glob("*.csv"))
CODE = sorted(Path(planner.__file__).parent.rglob("*.py"))


def keys_used() -> set[str]:
    """Keys that tables, cautions and the model's components name."""
    used = {key for path in TABLES for row in read(path) for key in row.cell("source").split()}
    used |= {key for caution in catalogue().cautions.values() for key in caution.sources}
    return used | {key for component in COMPONENTS.values() for key in component.source.split()}


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.name)
def test_that_every_row_names_sources_that_exist(path):
    for row in read(path):
        known = row.keys("source", catalogue().sources)
        assert known or row.cell("typical_from") == "none"


@pytest.mark.parametrize("component", COMPONENTS.values(), ids=lambda component: component.key)
def test_that_the_constants_of_every_component_name_sources_that_exist(component):
    assert component.source.split()
    assert set(component.source.split()) <= catalogue().sources.keys()
    assert component.status in set(Status)


def test_that_every_source_is_used():
    docstrings = "\n".join(path.read_text(encoding="utf-8") for path in CODE)
    flat = re.sub(r"\s+", " ", docstrings)
    used = keys_used()
    idle = [
        source.key
        for source in catalogue().sources.values()
        if source.key not in used and not (source.cited_as and source.cited_as in flat)
    ]
    assert idle == []


def test_that_each_citation_stands_once():
    titles = [(source.title, source.where) for source in catalogue().sources.values()]
    assert len(set(titles)) == len(titles)


def test_that_the_three_keys_for_having_no_source_say_so():
    say = {source.key: source.citation for source in catalogue().sources.values() if source.kind == "status"}
    assert say == {
        "common-practice": "Common practice of the trade, no source.",
        "memory": "From memory, no source read.",
        "estimate": "This project's estimate; its basis stands beside it.",
    }


def test_that_a_citation_reads_as_one_line():
    assert catalogue().source("durst-1995").citation == (
        "Composition of red raspberry juice. "
        "R. W. Durst et al., J. AOAC Int., vol. 78, p. 1195, 1995; 46 juices (abstract)."
    )
    for source in catalogue().sources.values():
        assert source.title
        assert source.citation.endswith(".")
        assert ".." not in source.citation.replace("...", "")


@pytest.mark.parametrize("status", Status)
def test_that_every_status_has_words_for_users(status):
    assert len(status.label.split()) >= 4
    assert status.label not in set(Status)


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.name)
def test_that_the_statuses_of_the_tables_are_of_the_closed_set(path):
    for row in read(path):
        for column in ("status", "ph_status"):
            if column in row.cells:
                row.one_of(column, Status)


def test_that_a_row_from_memory_or_estimated_says_so_among_its_sources():
    for path in TABLES:
        for row in read(path):
            status = row.cells.get("status")
            if status in ("memory", "estimate"):
                assert status in row.cell("source").split(), (path.name, row.cells)


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("key,title,detail,where\na,T,D,\n", r"row 2 \(a\), column kind: is not in the table"),
        (
            "key,kind,title,detail,where,cited_as\na,rumour,T,D,,\n",
            r"column kind: 'rumour' is not known; expected one of standard",
        ),
        ("key,kind,title,detail,where,cited_as\na,law,,D,,\n", r"row 2 \(a\), column title: is empty"),
        ("key,kind,title,detail,where,cited_as\na,law,T,D,,\na,law,T,D,,\n", "'a' stands in row 2 already"),
        ("key,kind,title,detail,where,cited_as\na,law,T,D\n", "has 4 cells, but there are 6 headings"),
        ('key,kind\n"a,law\n', "cannot be read"),
    ],
)
def test_that_a_damaged_list_of_sources_is_refused(tmp_path, text, problem):
    path = tmp_path / "sources.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(TableError, match=rf"(?s)sources.csv.*{problem}"):
        read_sources(path)


def test_that_the_kinds_of_sources_are_all_in_use():
    assert {source.kind for source in catalogue().sources.values()} == set(KINDS)


def test_that_keys_are_words_joined_by_hyphens():
    assert all(re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", key) for key in catalogue().sources)
