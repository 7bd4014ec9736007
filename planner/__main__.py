"""`python -m planner [BATCH]`: open the window."""

from __future__ import annotations

import gc
import sys


def main() -> int:
    """Run the program; returns its exit code."""
    # Nearly all that the start makes stays; to search it for what does not is a tenth of the start.
    gc.disable()
    from planner.app import main as run

    return run()


if __name__ == "__main__":
    sys.exit(main())
