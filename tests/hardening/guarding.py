"""What no file may make the program do: write, run, fetch or follow anything; and how much it may take to say no."""

from __future__ import annotations

import os
import resource
import sys
import time
from collections.abc import Callable
from typing import Any

_FORBIDDEN = (
    "socket.", "subprocess.Popen", "os.exec", "os.posix_spawn", "os.spawn", "os.system", "os.startfile", "os.fork",
    "os.forkpty", "webbrowser.", "urllib.", "ftplib.", "http.", "smtplib.",
)  # fmt: skip
"""Audit events (PEP 578) of processes and networks."""
_CHANGES = ("os.remove", "os.rename", "os.rmdir", "os.mkdir", "os.truncate", "os.symlink", "os.link", "shutil.")
"""Those of changes of files."""


class Forbidden(BaseException):
    """Something happened that a file must never cause; no `except Exception` hides it."""


def watch_over(*, writes: bool = True) -> list[str]:
    """From now on nothing is run, fetched or followed in this process, nor written where `writes`; returns what was tried."""
    tried: list[str] = []

    def judge(event: str, arguments: tuple[Any, ...]) -> None:
        is_write = writes and event == "open" and isinstance(arguments[1], str) and set(arguments[1]) & set("wax+")
        if is_write or event.startswith((*_FORBIDDEN, *_CHANGES) if writes else _FORBIDDEN):
            tried.append(f"{event} {arguments!r}"[:200])
            raise Forbidden(tried[-1])

    sys.addaudithook(judge)
    return tried


class Meter:
    """The most CPU that one case took, and the most memory that one needed beyond what was held when it began."""

    def __init__(self) -> None:
        self.worst = self.more_mb = 0.0
        self._reset = os.open("/proc/self/clear_refs", os.O_WRONLY) if sys.platform == "linux" else -1

    def time(self, work: Callable[..., Any], *arguments: Any) -> Any:
        """What some work gives; its CPU time and memory count, whether it fails or not."""
        if self._reset >= 0:
            os.write(self._reset, b"5")  # the peak begins anew: what made this case is none of it (proc(5))
        before, start = memory_mb(), time.process_time()
        try:
            return work(*arguments)
        finally:
            self.worst = max(self.worst, time.process_time() - start)
            self.more_mb = max(self.more_mb, memory_mb() - before)


def memory_mb() -> float:
    """The most memory that this process held. [MB]"""
    if sys.platform == "linux":  # where what is told elsewhere counts the process that this one was forked from
        with open("/proc/self/status", encoding="ascii") as status:
            return next(int(line.split()[1]) for line in status if line.startswith("VmHWM")) / 1024.0
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / (1024.0**2 if sys.platform == "darwin" else 1024.0)
