"""What is settled before the window's libraries are read: the command line, and whether the system can carry a window."""

from __future__ import annotations

import argparse
import os
import re
import tempfile
from collections.abc import Sequence
from pathlib import Path

from planner import __version__
from planner.reference.shipped import samples

DEBIAN = (
    "apt-get install python3-venv libegl1 libgl1 libxkbcommon0 libdbus-1-3 libfontconfig1 libglib2.0-0 "
    "libxcb-cursor0 libxcb-icccm4 libxcb-keysyms1 libxcb-shape0 libxkbcommon-x11-0"
)
"""What brings all that a bare Debian or Ubuntu lacks, as the README says it."""


MEMORY = "/dev/shm"
"""A folder in memory that Linux always has."""


def parse(arguments: Sequence[str]) -> argparse.Namespace:
    """The command line; ends the program where it asks for help or the version, or cannot be understood."""
    known = {path.stem: path for path in sorted(samples().glob("*.meadbatch"))}

    def sample(name: str) -> Path:
        if name not in known:
            raise argparse.ArgumentTypeError(f"there is no sample {name!r}; known are {', '.join(known)}")
        return known[name]

    parser = argparse.ArgumentParser(prog="planner", description="Plan, follow and adjust a batch of fruit mead.")
    parser.add_argument("batch", nargs="?", type=Path, help="a batch file to open")
    parser.add_argument("--sample", type=sample, metavar="NAME", help=f"open a packaged sample: {', '.join(known)}")
    parser.add_argument("--seconds", type=float, metavar="S", help="close by itself after so many seconds")
    at_home = parser.add_mutually_exclusive_group()
    at_home.add_argument(
        "--install-desktop",
        action="store_true",
        help="put the program into this user's menu and open its files with it (Linux)",
    )
    at_home.add_argument("--remove-desktop", action="store_true", help="take that back")
    parser.add_argument("--version", action="version", version=f"fruit-mead-planner {__version__}")
    return parser.parse_args(arguments)


def find_room() -> None:
    """Where no folder for passing files can be written, as on a full disk, take the system's memory for one.

    matplotlib refuses to be loaded where it can write nowhere at all.
    """
    try:
        tempfile.gettempdir()
    except FileNotFoundError:
        if os.access(MEMORY, os.W_OK):
            tempfile.tempdir = MEMORY


def lacking(failure: OSError | ImportError) -> str | None:
    """One sentence, if something could not be loaded because the system has not a library of its own; else None."""
    library = re.match(r"(lib[^/\s:]+): cannot open shared object file", str(failure))
    if library is None:
        return None
    return f"The window needs {library[1]}, which this system lacks. On Debian or Ubuntu, as root, this installs it:\n{DEBIAN}"
