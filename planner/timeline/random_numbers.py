"""The dice of possible ferments: of one use on one day always the same, so that an edit elsewhere moves nothing."""

from __future__ import annotations

import zlib
from functools import lru_cache

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


def dice(label: str, day: float = 0.0) -> np.random.Generator:
    """Random numbers of one use on one day [d], always the same: an edit elsewhere does not reshuffle them."""
    return np.random.default_rng((zlib.crc32(label.encode()), round(1440.0 * max(day, 0.0))))


@lru_cache(600)  # of a long log with its forecast, some 6 MB, which are half of what the next look at it would take
def normals(label: str, size: int, day: float = 0.0) -> Array:
    """Standard-normal scores whose mean is nought: each comes with its opposite. [-]"""
    generator = dice(label, day)
    half = generator.standard_normal((size + 1) // 2)
    scores = np.concatenate((half, -half))[:size]
    generator.shuffle(scores)
    scores.flags.writeable = False
    return scores
