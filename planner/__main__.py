"""`python -m planner [BATCH]`: open the window."""

from __future__ import annotations

import gc
import sys
from types import ModuleType

from planner import starting


def program() -> ModuleType:
    """The program, read as quickly as can be."""
    # Nearly all that the start makes stays; to search it for what does not is a tenth of the start.
    gc.disable()
    from planner.ui.import_block import without

    with without("typing_extensions"):  # asked for only on Pythons older than ours
        import msgspec  # noqa: F401
    from planner import app

    return app


def settle_on_desktop(install: bool) -> int:
    """Put the program on this user's desktop, or take it away; says what was written. Returns the exit code."""
    from planner import desktop

    folder = desktop.data_folder()
    try:
        places = desktop.install(folder) if install else desktop.remove(folder)
    except OSError as failure:
        print(f"{failure.filename or folder} could not be written: {failure.strerror}.", file=sys.stderr)
        return 1
    print("\n".join([("Written:" if install else "Removed:") if places else "Nothing was there.", *map(str, places)]))
    return 0


def main() -> int:
    """Run the program; returns its exit code."""
    chosen = starting.parse(sys.argv[1:])
    if chosen.install_desktop or chosen.remove_desktop:
        return settle_on_desktop(install=chosen.install_desktop)
    starting.find_room()
    try:
        app = program()
    except ImportError as failure:
        sentence = starting.lacking(failure)
        if sentence is None:
            raise
        print(sentence, file=sys.stderr)
        return 2
    return int(app.main(chosen))


if __name__ == "__main__":
    sys.exit(main())
