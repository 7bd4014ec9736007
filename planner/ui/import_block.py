"""What libraries would read at the start though this program never uses it."""

from __future__ import annotations

import sys
import warnings
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def without(name: str) -> Iterator[None]:
    """Let a library that is imported inside take an optional module for missing; afterwards it can be had as ever.

    For parts that a library does without where they are not installed; what is loaded already stays.
    """
    if name in sys.modules:
        yield
        return
    sys.modules[name] = None  # type: ignore[assignment]  # the language's own mark of a module that cannot be had
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    finally:
        del sys.modules[name]
