"""The screen on which tests and benchmarks open windows: Qt's own offscreen one has but 800 by 800 pixels."""

from __future__ import annotations

import os
from pathlib import Path

PLATFORM = f"offscreen:configfile={Path(__file__).parent / 'data' / 'screen.json'}"


def choose() -> None:
    """Let Qt open its windows there, unless another platform is asked for by name."""
    if os.environ.get("QT_QPA_PLATFORM", "offscreen") == "offscreen":
        os.environ["QT_QPA_PLATFORM"] = PLATFORM
