"""`python -m planner [BATCH]`: open the window."""

from __future__ import annotations

import gc
import sys
from types import ModuleType


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
    return int(program().main())


if __name__ == "__main__":
    sys.exit(main())
