"""Short by default, `--long` for the counts that are promised; the figures of every tool are printed at the end."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]


def pytest_addoption(parser: pytest.Parser) -> None:
    """Only heard where this folder is named on the command line."""
    parser.addoption("--long", action="store_true", help="the hardening suite with the counts that are promised")


@pytest.fixture
def is_long(request: pytest.FixtureRequest) -> bool:
    """Whether the promised counts are wanted."""
    return bool(request.config.getoption("--long", default=False))


@pytest.fixture
def figures(request: pytest.FixtureRequest) -> Callable[[str, dict[str, Any]], None]:
    """Keeps figures for the table at the end, whatever process they come from."""
    return lambda name, found: request.node.user_properties.append(("figures", json.dumps([name, found])))


@pytest.fixture
def tool(figures: Callable[[str, dict[str, Any]], None]) -> Callable[..., dict[str, Any]]:
    """Runs a tool in a process of its own and gives its figures."""

    def run(name: str, *options: object, seconds: float = 14_400.0) -> dict[str, Any]:
        command = [sys.executable, "-m", f"tests.hardening.{name}", *map(str, options)]
        done = subprocess.run(
            command, cwd=ROOT, env=os.environ | {"PYTHONPATH": str(ROOT)}, capture_output=True, text=True, check=False,
            timeout=seconds,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr[-4000:]
        found: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
        figures(name, found)
        return found

    return run


def pytest_terminal_summary(terminalreporter: Any) -> None:
    """The figures, a line for each tool."""
    lines = []
    for reports in terminalreporter.stats.values():
        for report in reports:
            for name, value in getattr(report, "user_properties", ()):
                if name == "figures" and getattr(report, "when", "") == "call":
                    tool_name, found = json.loads(value)
                    lines.append(
                        f"{tool_name}: "
                        + " ".join(f"{key} {told}" for key, told in found.items() if not isinstance(told, list))
                    )
    if lines:
        terminalreporter.section("hardening")
        for line in sorted(lines):
            terminalreporter.line(line)
