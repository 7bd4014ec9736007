"""`python -m planner [BATCH]`: open the window."""

from __future__ import annotations

import sys

from planner.app import main

if __name__ == "__main__":
    sys.exit(main())
