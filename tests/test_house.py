"""The house: its floors, its rules, its pins, and what may be imported when."""

from __future__ import annotations

import ast
import re
import shutil
import subprocess
import sys
import tomllib
from collections import Counter
from importlib.metadata import metadata
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
CODE = sorted((ROOT / "planner").rglob("*.py"))
LINE_BUDGET = 500


def run(*command: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, *command], cwd=ROOT, capture_output=True, text=True, check=False)


def git(*command: str) -> str:
    """What git lists of the checkout; who has only the files, or no git, has nothing to be told."""
    if shutil.which("git") is None:
        pytest.skip("there is no git")
    done = subprocess.run(["git", *command], cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode > 1:  # one is a search that found nothing
        pytest.skip(f"this is no checkout of git: {done.stderr}")
    return done.stdout


def test_that_none_keeps_its_references(qapp):
    """PySide6 6.12.0 on Python 3.11 takes a reference off None at each call; see DEVELOPERS.md, pins."""
    from PySide6.QtWidgets import QLabel

    label = QLabel()
    before = sys.getrefcount(None)
    for _ in range(500):
        label.setText("x")
    assert sys.getrefcount(None) > before - 100


def test_that_the_pin_of_the_window_toolkit_stands():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert "PySide6-Essentials>=6.11.1,<6.12" in project["dependencies"]


def test_that_no_tool_that_judges_style_or_types_is_among_what_the_tests_need():
    extras = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["optional-dependencies"]
    judges = {"ruff", "mypy", "import-linter", "scipy-stubs", "vulture"}
    assert not judges & {re.split(r"[<>=!~]", requirement)[0] for requirement in extras["test"]}
    exact = dict(requirement.split("==") for requirement in extras["check"])  # each has its one version
    assert judges <= exact.keys()


def test_that_the_pythons_promised_are_those_that_the_window_toolkit_serves():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    served = metadata("PySide6-Essentials")["Requires-Python"]
    last = re.search(r"<(3\.\d+)", served)
    assert last, served
    assert project["requires-python"] == f">=3.11,<{last[1]}"
    minors = range(11, int(last[1].removeprefix("3.")))
    named = {line.rsplit(" ", 1)[1] for line in project["classifiers"] if re.search(r":: 3\.\d", line)}
    assert named == {f"3.{minor}" for minor in minors}


def test_that_every_dependency_earns_its_place_in_a_line_of_the_guide():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    extras = project["optional-dependencies"]
    for requirement in (*project["dependencies"], *extras["test"], *extras["check"]):
        name = re.split(r"[<>=!~\[ ]", requirement)[0]
        assert re.search(rf"^\| `{re.escape(name)}`", guide, re.M), f"{name} is not explained in DEVELOPERS.md"


def test_that_the_top_of_the_house_has_the_agreed_entries():
    listed = git("ls-tree", "--name-only", "HEAD")
    entries = {name for name in listed.split() if not name.startswith(".")}
    papers = {"README.md", "DEVELOPERS.md"}
    assert entries == papers | {"pyproject.toml", "planner", "tests", "resources", "samples"}


@pytest.mark.parametrize(
    "module", ["planner.model.simulate", "planner.reference.catalogue", "planner.evaluation.outcome"]
)
def test_that_the_science_starts_without_slow_libraries(module):
    slow = "('PySide6', 'matplotlib', 'pint', 'scipy', 'pandas')"
    done = run("-c", f"import sys, {module}; sys.exit(', '.join(m for m in {slow} if m in sys.modules) or 0)")
    assert done.returncode == 0, done.stderr


def test_that_the_report_never_loads_the_screen():
    code = (
        "import sys, io, contextlib\nfrom planner.report import main\n"
        "with contextlib.redirect_stdout(io.StringIO()):\n    main(['raspberry-finished', '--json'])\n"
        "sys.exit(', '.join(m for m in ('PySide6', 'matplotlib', 'pint') if m in sys.modules) or 0)"
    )
    done = run("-c", code)
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("path", CODE, ids=lambda path: str(path.relative_to(ROOT)))
def test_that_each_file_is_one_room(path):
    lines = path.read_text(encoding="utf-8").splitlines()
    assert len(lines) <= LINE_BUDGET, f"{path.name} has {len(lines)} lines: divide it"
    if lines:
        assert lines[0].startswith('"""'), f"{path.name} does not say what it is for"


@pytest.mark.parametrize("path", CODE, ids=lambda path: str(path.relative_to(ROOT)))
def test_that_no_fault_is_swallowed(path):
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"except( Exception| BaseException)?:\s*\n\s*pass", text)
    assert not re.search(r"\bprint\(", text) or path.name in ("report.py", "__main__.py", "screen.py"), (
        "only the commands print, and what speaks where there is no window"
    )


SHARED_NAMES = frozenset([
    "Answer", "Below", "Beside", "Column", "Columns", "Course", "DayField", "Difference", "Event", "Ferment",
    "Figure", "Found", "Given", "Host", "Kind", "Label", "Level", "Limit", "Line", "Mark", "Part", "Path",
    "Picture", "Place", "Plan", "Reader", "Reading", "Row", "Rows", "Scale", "Section", "Share", "Source",
    "State", "Step", "Table", "Told", "Unit", "Way", "Yeast", "alcohol", "arranged", "as_data",
    "as_measured", "as_text", "concentration", "counted", "density", "density_of", "draw", "drawn", "evaluate",
    "figures", "find", "follow", "gravity", "heading", "html", "in_words", "is_made", "led",
    "lessons", "limits", "main", "name_of", "offered", "parts", "place_of", "plan", "planned", "preferred",
    "read", "sentences", "share", "shown", "source_of", "span_of", "standing", "stillness", "summary",
    "temperature", "tested_after", "ticks", "title_of", "together", "told", "told_by", "viscosity", "volume",
    "way_of", "weighable", "within", "without",
])  # fmt: skip
"""Names that stand for more than one thing. `main`, `as_text`, `as_data` and what the library hands on are meant; a figure of a
sentence (`phrases`) has the name of its quantity. The rest waits to be told apart: nothing is added here."""


def test_that_one_public_name_has_one_meaning():
    names: Counter[str] = Counter()
    for path in CODE:
        defined = [node for node in ast.parse(path.read_text("utf-8")).body
                   if isinstance(node, (ast.FunctionDef, ast.ClassDef))]  # fmt: skip
        names.update(node.name for node in defined if not node.name.startswith("_"))
    shared = {name for name, times in names.items() if times > 1}
    assert not shared - SHARED_NAMES, "a name that is taken: choose another"
    assert not SHARED_NAMES - shared, "these have one meaning now: take them out of the list"


WALLS = {
    r"\bvars\(|__dict__": "ui/parts_made.py",
    r"\bsys\.modules\[.*\] = ": "ui/import_block.py",
    r"\bprocessEvents\b": "ui/shell/opening.py",
}
"""Tricks, each with the one file that may use it and says why."""


@pytest.mark.parametrize("trick", WALLS)
def test_that_a_trick_stands_in_one_room(trick):
    users = [
        path.relative_to(ROOT / "planner").as_posix() for path in CODE if re.search(trick, path.read_text("utf-8"))
    ]
    assert users == [WALLS[trick]]


def test_that_no_pane_asks_whether_the_store_holds_a_batch():
    window = [path for path in CODE if "ui" in path.parts]
    assert not [path.name for path in window if "isinstance(batch, Batch)" in path.read_text("utf-8")]


def test_that_no_two_files_of_tests_share_a_name():
    """pytest takes the second for the first, and runs nothing; a folder that is a package has names of its own."""
    files = [path for path in (ROOT / "tests").rglob("*.py") if not (path.parent / "__init__.py").exists()]
    names = Counter(path.name for path in files)
    names["conftest.py"] = 0
    assert not [name for name, times in names.items() if times > 1]


def test_that_ci_runs_the_command_of_the_readme():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    marked = re.search(r"<!-- all tests -->\n```\w*\n(.*?)\n```", readme, re.S)
    assert marked, "README.md has lost the mark before its test command"
    command = marked[1].strip()
    assert "pytest" in command
    assert ".[test]" in command
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert "$(readme 'all tests')" in script, ".ci/run reads the command from the README rather than having its own"
    assert "pytest" not in script, "a second copy of the command could drift from the first"


def test_that_no_path_of_one_machine_is_in_the_source():
    assert not git("grep", "-nE", r"(/home/|/[r]oot/|/Users/|C:\\Users)", "--", ":!tests/test_house.py")
