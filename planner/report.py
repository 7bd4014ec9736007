"""All that the window would show of batches, without a window: `python -m planner.report BATCH… [--compare] [--text | --json |
--csv]`, or as papers for the wall: `[--html FILE] [--pdf FILE]`."""

from __future__ import annotations

import argparse
import gc
import io
import os
import sys
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from planner import __version__

if TYPE_CHECKING:
    from planner.comparing.comparison import Comparison
    from planner.evaluation.outcome import Outcome

_EPILOGUE = """\
Several batches give one report after another, a list in JSON, a row each, or one paper. What cannot be
read is told on the error stream, in one line, and the others are reported. The exit code is 0 if all could
be reported, and 1 if some could. It is 2 if none could, if the options are wrong, or if nothing could be written."""


class _Help(argparse.HelpFormatter):
    """Help of one width: to ask for the terminal's, at every start, argparse reads libraries of compression."""

    def __init__(self, prog: str) -> None:
        super().__init__(prog, width=100)


class _Schema(argparse.Action):
    """Print the schema of the JSON, and end."""

    def __call__(self, parser: argparse.ArgumentParser, *_: Any) -> None:
        from planner.reference.shipped import resources

        parser.exit(_print([(resources() / "report.schema.json").read_text(encoding="utf-8")], "utf-8"))


def _print(texts: Iterable[str], encoding: str | None) -> int:
    """Write each to the standard output as it comes, in its own encoding if no other is asked for; 0 if it could be."""
    out = sys.stdout
    if isinstance(out, io.TextIOWrapper):  # a console that has no sign for a degree still shows the rest
        out.reconfigure(encoding=encoding, errors="strict" if encoding else "replace")
    for text in texts:
        try:
            out.write(text)
            out.flush()
        except OSError as error:
            os.dup2(os.open(os.devnull, os.O_WRONLY), out.fileno())  # what is left cannot be written at the end, either
            if isinstance(error, BrokenPipeError):  # whoever reads has read enough
                return 0
            print(f"The report could not be written: {error.strerror}.", file=sys.stderr)
            return 2
    return 0


class _Reports:
    """The reports that are asked for, and how many could be made."""

    def __init__(self, names: Sequence[str], units: str, gravity: str) -> None:
        self.names, self.units, self.gravity, self.made, self.failed = names, units, gravity, 0, 0

    def outcomes(self, to_draw: bool = False) -> Iterator[tuple[str, Outcome]]:
        """What follows from each batch that can be read; what is wrong with the others goes to the error stream."""
        from planner.document.codec import BatchFileError
        from planner.document.whole_file import as_text
        from planner.evaluation.outcome import evaluate
        from planner.reference.catalogue import catalogue
        from planner.reporting.batch_file import each, load

        for name in self.names:
            try:
                for file in each(name):
                    try:
                        batch = load(file)
                    except BatchFileError as failure:
                        self._tell(failure)
                        continue
                    if self.made:  # from the second on, what is done with must go
                        gc.enable()
                    self.made += 1
                    yield as_text(file), evaluate(batch, catalogue(), to_draw=to_draw)
            except BatchFileError as failure:
                self._tell(failure)

    def data(self) -> Iterator[dict[str, Any]]:
        """The data of each batch that can be read."""
        from planner.reference.catalogue import catalogue
        from planner.reporting.data import as_data
        from planner.wording.figures import Plain

        for file, outcome in self.outcomes():
            yield as_data(outcome, catalogue(), file, Plain(self.units, self.gravity))

    def comparison(self, form: str) -> Iterator[str]:
        """Two to six batches side by side; nothing where they are fewer or more."""
        from planner.reporting import comparison
        from planner.reporting.data import as_json
        from planner.wording.figures import Plain

        found = self.compared()
        if found is None:
            return
        if form == "json":
            yield as_json(comparison.as_data(found))
        else:
            yield (
                comparison.as_csv(found)
                if form == "csv"
                else comparison.as_text(found, Plain(self.units, self.gravity))
            )

    def compared(self) -> Comparison | None:
        """Batches side by side; None, which is told, where too few or too many can be read."""
        from planner.comparing.comparison import FEWEST, MOST, compared
        from planner.reference.catalogue import catalogue

        outcomes = [outcome for _, outcome in self.outcomes()]
        if FEWEST <= len(outcomes) <= MOST:
            return compared(outcomes, catalogue())
        self._tell(ValueError(f"{len(outcomes)} batches can be read, and {FEWEST} to {MOST} can be compared."))
        self.made = 0
        return None

    def _tell(self, failure: Exception) -> None:
        self.failed += 1
        print("".join(sign if sign.isprintable() else " " for sign in str(failure)), file=sys.stderr)

    @property
    def code(self) -> int:
        """What the process ends with."""
        return 0 if not self.failed else 1 if self.made else 2

    # --- as it is written

    def text(self) -> Iterator[str]:
        from planner.reporting.text import as_text
        from planner.wording.figures import Plain

        for data in self.data():
            yield ("\n\n" if self.made > 1 else "") + as_text(data, Plain(self.units, self.gravity))

    def json(self) -> Iterator[str]:
        from planner.reporting.batch_file import is_folder
        from planner.reporting.data import as_json

        if len(self.names) == 1 and not is_folder(self.names[0]):
            yield from map(as_json, self.data())
            return
        yield "["
        for data in self.data():
            yield (",\n" if self.made > 1 else "\n") + as_json(data).rstrip("\n")
        yield "\n]\n"

    def csv(self) -> Iterator[str]:
        from planner.reporting.table import header, row

        yield header(self.units)
        for data in self.data():
            yield row(data, self.units)

    def papers(self, asked: argparse.Namespace) -> int:
        """Write the papers of all batches into the files that are asked for; 0 if they could be."""
        from planner.starting import lacking

        try:
            from planner.ui.comparing.paper import paper
            from planner.ui.papers.making import Kind, document
        except ImportError as failure:
            self._tell(ImportError(lacking(failure) or failure))
            return 2
        if asked.compare:
            found = self.compared()
            if found is None:
                return 0
            made = paper(found, asked.units, asked.gravity)
        else:
            made = document((outcome for _, outcome in self.outcomes(to_draw=True)), asked.units, asked.gravity)
        for path, kind in ((asked.html, Kind.HTML), (asked.pdf, Kind.PDF)):
            if path is not None and made.papers:
                try:
                    _write(path, made.written(kind, asked.paper))
                except OSError as failure:
                    print(f"{path} could not be written: {failure.strerror}.", file=sys.stderr)
                    return 2
        return 0


def _write(path: Path, data: bytes) -> None:
    """Write all of a file or none of it; into a device or a pipe straight."""
    if path.exists() and not path.is_file():
        path.write_bytes(data)
        return
    place = path.resolve()  # what a link leads to is replaced, not the link
    beside = place.with_name(f"{place.name}.{os.getpid()}")
    try:
        beside.write_bytes(data)
        beside.replace(place)
    finally:
        beside.unlink(missing_ok=True)


def _out(name: str) -> Path:
    """Where a paper is to be written, which is never where a batch stands."""
    from planner.document.codec import SUFFIX

    if name.endswith(SUFFIX):
        raise argparse.ArgumentTypeError(f"{name!r} has the name of a batch; give the name of the paper first")
    return Path(name)


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the reports of batches; 0 if all could be read and written, 1 if some could, 2 if none."""
    parser = argparse.ArgumentParser(
        prog="planner.report", description=__doc__, epilog=_EPILOGUE, formatter_class=_Help
    )
    parser.add_argument(
        "batches", metavar="BATCH", nargs="+",
        help="a batch file, a folder of them, the name of a sample, or - for standard input",
    )  # fmt: skip
    parser.add_argument(
        "--compare",
        action="store_true",
        help="two to six batches side by side, and what could have caused the differences",
    )
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="as JSON, units in the keys")
    form.add_argument("--csv", action="store_true", help="as a table with a row for each batch, units in the heading")
    form.add_argument("--text", action="store_true", help="for reading (the default)")
    sheets = parser.add_argument_group("papers", "to print, as files")
    sheets.add_argument("--html", metavar="FILE", type=_out, help="write a web page that stands alone")
    sheets.add_argument("--pdf", metavar="FILE", type=_out, help="write a PDF that can be searched and read aloud")
    sheets.add_argument(
        "--paper", choices=("a4", "letter"), default="a4", help="size of the paper (default: %(default)s)"
    )
    reader = parser.add_argument_group(
        "units", "of texts, papers and tables; numbers in JSON have the units of their keys"
    )
    reader.add_argument("--units", choices=("metric", "us"), default="metric", help="measures (default: %(default)s)")
    reader.add_argument(
        "--gravity", choices=("sg", "brix"), default="sg", help="scale of gravity (default: %(default)s)"
    )
    parser.add_argument(
        "--schema", action=_Schema, nargs=0, help="print the JSON Schema that the JSON keeps to, and end"
    )
    parser.add_argument("--version", action="version", version=f"fruit-mead-planner {__version__}")
    chosen = parser.parse_args(arguments)

    # What makes the reports is imported only now, so that a wrong option is told at once.
    reports = _Reports(chosen.batches, chosen.units, chosen.gravity)
    if chosen.html or chosen.pdf:
        if chosen.json or chosen.csv or chosen.text:
            parser.error("papers are files of their own: ask for --json, --csv or --text without --html and --pdf")
        failed = reports.papers(chosen)
    elif chosen.compare:
        written = "json" if chosen.json else "csv" if chosen.csv else "text"
        failed = _print(reports.comparison(written), None if written == "text" else "utf-8")
    elif chosen.json:
        failed = _print(reports.json(), "utf-8")
    elif chosen.csv:
        failed = _print(reports.csv(), "utf-8")
    else:
        failed = _print(reports.text(), None)
    return failed or reports.code


if __name__ == "__main__":
    # All that is made here goes with the process: to look for cycles in it, now and at the end, is a tenth of the time.
    gc.disable()
    code = main()
    gc.freeze()
    sys.exit(code)
