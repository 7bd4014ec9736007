"""All that the window would show of batches, without a window: `python -m planner.report BATCH… [--text | --json | --csv]`."""

from __future__ import annotations

import argparse
import gc
import io
import os
import sys
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from planner import __version__

_EPILOGUE = """\
Several batches give one report after another, a list of them as JSON, or a row for each. What cannot be read is told on
the error stream, in one line, and the others are reported. The exit code is 0 if all could be reported, 1 if some could,
2 if none could, if the options are wrong, or if the report could not be written."""


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

    def __init__(self, names: Sequence[str]) -> None:
        self.names, self.made, self.failed = names, 0, 0

    def data(self) -> Iterator[dict[str, Any]]:
        """The data of each batch that can be read; what is wrong with the others goes to the error stream."""
        from planner.document.codec import BatchFileError
        from planner.evaluation.outcome import evaluate
        from planner.reference.catalogue import catalogue
        from planner.reporting.batch_file import called, each, load
        from planner.reporting.data import as_data

        shelf = catalogue()
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
                    yield as_data(evaluate(batch, shelf, to_draw=False), shelf, called(file))
            except BatchFileError as failure:
                self._tell(failure)

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

        for data in self.data():
            yield ("\n\n" if self.made > 1 else "") + as_text(data)

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

        yield header()
        yield from map(row, self.data())


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the reports of batches; 0 if all could be read and written, 1 if some could, 2 if none."""
    parser = argparse.ArgumentParser(
        prog="planner.report", description=__doc__, epilog=_EPILOGUE, formatter_class=_Help
    )
    parser.add_argument(
        "batches", metavar="BATCH", nargs="+",
        help="a batch file, a folder of them, the name of a packaged sample, or - for a batch from standard input",
    )  # fmt: skip
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="as JSON, units in the keys")
    form.add_argument("--csv", action="store_true", help="as a table with a row for each batch, units in the heading")
    form.add_argument("--text", action="store_true", help="for reading (the default)")
    parser.add_argument(
        "--schema", action=_Schema, nargs=0, help="print the JSON Schema that the JSON keeps to, and end"
    )
    parser.add_argument("--version", action="version", version=f"fruit-mead-planner {__version__}")
    chosen = parser.parse_args(arguments)

    # What makes the reports is imported only now, so that a wrong option is told at once.
    reports = _Reports(chosen.batches)
    if chosen.json:
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
