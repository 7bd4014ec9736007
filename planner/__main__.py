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


def main() -> int:
    """Run the program; returns its exit code."""
    chosen = starting.parse(sys.argv[1:])
    if chosen.install_desktop or chosen.remove_desktop:
        return starting.settle_on_desktop(install=chosen.install_desktop)
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
