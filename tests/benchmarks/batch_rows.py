"""How fast many batches, many ways and many readings are: beside as many evaluations, and beside one pass of a plain library."""

from __future__ import annotations

import contextlib
import io
import json
import tempfile
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from importlib.metadata import Distribution, distribution
from pathlib import Path

import numpy as np
from packaging.requirements import Requirement

import planner
from planner import report
from planner.cellar.folder import look
from planner.document.batch import Batch, new_batch
from planner.document.codec import SUFFIX, decode, encode
from planner.document.columnar_log import Run
from planner.evaluation.outcome import evaluate
from planner.planning.routes import each_route
from planner.reference.shipped import resources, samples
from tests.benchmarks.cellar import generated
from tests.benchmarks.file_rows import ROWS_OF_A_SEASON, dated_file, imported, numeric_file
from tests.benchmarks.measuring import Growth, Row, growth, paired
from tests.benchmarks.science_rows import SHELF, forget, sample

WAYS, REPORTS, BATCHES = 6, 100, 1000
"""Ways to finish, reports in one process, and batches of a cellar. [-]"""


def routes() -> Row:
    """All ways to finish a planned batch, beside as many evaluations of it as a window makes."""
    batch = sample("quince-planned")

    def ours() -> None:
        forget()
        if len(list(each_route(batch, SHELF))) != WAYS:
            raise AssertionError("The sample has other ways than were to be compared.")

    def evaluations() -> None:
        for _ in range(WAYS):
            forget()
            evaluate(batch, SHELF)

    return Row(
        "routes", "six ways to finish compared", "six evaluations one after the other", paired(ours, evaluations), 1.0
    )


def written(folder: Path, batches: Iterable[Batch]) -> Path:
    """A folder of these batches, made now."""
    folder.mkdir()
    for number, batch in enumerate(batches):
        (folder / f"batch-{number:05d}{SUFFIX}").write_bytes(encode(batch))
    return folder


def reports(rounds: int = 5) -> Row:
    """A hundred reports as JSON by the command, in this process, beside the evaluations alone."""
    made = generated(REPORTS)

    def evaluations() -> None:
        for batch in made:
            evaluate(batch, SHELF, to_draw=False)

    with tempfile.TemporaryDirectory() as place:
        folder = written(Path(place) / "batches", made)

        def ours() -> None:
            with contextlib.redirect_stdout(io.StringIO()):
                if report.main([str(folder), "--json"]) != 0:
                    raise AssertionError("Not all reports could be made.")

        ratios = paired(ours, evaluations, rounds, 1)
    return Row("reports", "a hundred reports in one process, each", "one evaluation", ratios, 1.3)


def cellar() -> Row:
    """A folder of batches read for the list, beside reading the bytes and parsing their JSON."""
    with tempfile.TemporaryDirectory() as place:
        folder = written(Path(place) / "batches", generated(BATCHES))

        def parsed() -> None:
            for path in sorted(folder.iterdir()):
                json.loads(path.read_bytes())

        ratios = paired(partial(look, folder, {}, SHELF), parsed)
    return Row("cellar", "1,000 batches listed", "reading and parsing their JSON", ratios, 3.0)


def batches() -> Growth:
    """A folder of so many batches read for the list."""
    with tempfile.TemporaryDirectory() as place:

        def at(size: float) -> Callable[[], object]:
            folder = written(Path(place) / f"{size:.0f}", generated(int(size)))
            return partial(look, folder, {}, SHELF)

        return growth("batches", "batches of a folder listed", (10, 100, 1_000, 10_000), at)


def _in_and_out(key: str, what: str, table: Callable[[Path, int], Path]) -> Row:
    """A batch with a season of a sensor written and read, beside its columns as numpy keeps them."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        batch = imported(table(folder, ROWS_OF_A_SEASON), new_batch(), ROWS_OF_A_SEASON)
        (run,) = (piece for piece in batch.log.entries.pieces if isinstance(piece, Run))
        file, columns = folder / f"batch{SUFFIX}", folder / "columns.npz"

        def ours() -> None:
            file.write_bytes(encode(batch))
            decode(file.read_bytes())

        def plain() -> None:
            np.savez(columns, **run.columns)
            with np.load(columns) as kept:
                for name in kept:
                    kept[name]

        return Row(key, what, "the same columns by numpy.savez and numpy.load", paired(ours, plain), 10.0)


def file() -> Row:
    """Readings by days."""
    return _in_and_out("file", "100,000 readings written and read", numeric_file)


def file_dates() -> Row:
    """Readings by dates."""
    return _in_and_out("file_dates", "the same with dates", dated_file)


# --- what an installed program is made of


def _needed(names: Iterable[str]) -> list[Distribution]:
    """These packages and all that they need."""
    found: dict[str, Distribution] = {}
    to_do = list(names)
    while to_do:
        name = to_do.pop()
        key = name.lower().replace("_", "-")
        if key not in found:
            found[key] = distribution(name)
            asked = map(Requirement, found[key].requires or ())
            to_do += [one.name for one in asked if one.marker is None or one.marker.evaluate({"extra": ""})]
    return list(found.values())


def _bytes(files: Iterable[Path]) -> int:
    return sum(file.stat().st_size for file in files if file.is_file() and file.suffix != ".pyc")


def _size(packages: Iterable[Distribution]) -> int:
    return sum(_bytes(Path(str(file.locate())) for file in package.files or ()) for package in packages)


def installed() -> Row:
    """All that a user installs, beside the three packages that any window with a plot needs, with what those need."""
    wanted = [Requirement(line).name for line in _dependencies()]
    own = sum(_bytes(folder.rglob("*")) for folder in (Path(planner.__file__).parent, resources(), samples()))
    bare = _size(_needed(("PySide6-Essentials", "matplotlib", "numpy")))
    ratio = (_size(_needed(wanted)) + own) / bare
    what = f"size of what is installed ({ratio * bare / 1e6:.0f} MB)"
    return Row("installed", what, f"PySide6-Essentials, matplotlib, numpy ({bare / 1e6:.0f} MB)", (ratio,), 1.4)


def _dependencies() -> list[str]:
    """What the project says that it needs."""
    import tomllib

    told = tomllib.loads((Path(__file__).parents[2] / "pyproject.toml").read_text(encoding="utf-8"))
    return list(told["project"]["dependencies"])


ROWS = {
    "routes": routes,
    "reports": reports,
    "cellar": cellar,
    "file": file,
    "file_dates": file_dates,
    "installed": installed,
}
"""Each row by its key."""

GROWTHS = {"batches": batches}
"""Growth by its key."""


def rows() -> Iterator[Row]:
    """All rows."""
    for measure in ROWS.values():
        yield measure()
