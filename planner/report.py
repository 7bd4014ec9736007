"""All that the window would show of a batch, without a window: `python -m planner.report BATCH [--json | --text]`."""

from __future__ import annotations

import argparse
import gc
import io
import os
import sys
from collections.abc import Sequence

from planner import __version__


class _Help(argparse.HelpFormatter):
    """Help of one width: to ask for the terminal's, at every start, argparse reads libraries of compression."""

    def __init__(self, prog: str) -> None:
        super().__init__(prog, width=100)


def _print(text: str, encoding: str | None) -> int:
    """Write all to the standard output, in its own encoding if no other is asked for; 0 if it could be."""
    out = sys.stdout
    if isinstance(out, io.TextIOWrapper):  # a console that has no sign for a degree still shows the rest
        out.reconfigure(encoding=encoding, errors="strict" if encoding else "replace")
    try:
        out.write(text)
        out.flush()
    except BrokenPipeError:  # whoever reads has read enough
        failure = ""
    except OSError as error:
        failure = f"The report could not be written: {error.strerror}."
    else:
        return 0
    os.dup2(os.open(os.devnull, os.O_WRONLY), out.fileno())  # what is left cannot be written at the end, either
    if failure:
        print(failure, file=sys.stderr)
    return 2 if failure else 0


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the report of a batch; 0 if it could be read and written, 2 if not."""
    parser = argparse.ArgumentParser(prog="planner.report", description=__doc__, formatter_class=_Help)
    parser.add_argument("batch", metavar="BATCH", help="a batch file, or the name of a packaged sample")
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="as JSON, units in the keys")
    form.add_argument("--text", action="store_true", help="for reading (the default)")
    parser.add_argument("--version", action="version", version=f"fruit-mead-planner {__version__}")
    chosen = parser.parse_args(arguments)

    # Only now, so that a wrong option is told at once.
    from planner.document.codec import BatchFileError
    from planner.evaluation.outcome import evaluate
    from planner.reference.catalogue import catalogue
    from planner.reporting.batch_file import load
    from planner.reporting.data import as_data, as_json
    from planner.reporting.text import as_text

    try:
        batch = load(chosen.batch)
    except BatchFileError as failure:
        print(failure, file=sys.stderr)
        return 2
    shelf = catalogue()
    data = as_data(evaluate(batch, shelf, to_draw=False), shelf)
    return _print(as_json(data), "utf-8") if chosen.json else _print(as_text(data), None)


if __name__ == "__main__":
    # All that is made here goes with the process: to look for cycles in it, now and at the end, is a tenth of the time.
    gc.disable()
    code = main()
    gc.freeze()
    sys.exit(code)
