"""The same dice for every edit: standard-normal scores that depend only on what they are asked for.

Each uncertain quantity has a label; its scores come from a generator seeded by that label. Adding an ingredient
therefore does not reshuffle the others, and a band moves smoothly while a number is dragged.
"""

from __future__ import annotations

import zlib
from functools import lru_cache

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

MEMBERS = 200
"""Members of the ensemble behind the bands, besides the typical one. [-]"""


_TYPICAL: Array = np.zeros(1)
_TYPICAL.flags.writeable = False


@lru_cache(maxsize=4096)
def _drawn(label: str, members: int) -> Array:
    if members == 0:
        return _TYPICAL  # nothing is drawn, and no dice are needed: they take a while to be read from the disk
    generator = np.random.default_rng(zlib.crc32(label.encode()))
    half = generator.standard_normal((members + 1) // 2)
    scores = np.concatenate(([0.0], half, -half))[: members + 1]  # antithetic: the mean is the typical case
    generator.shuffle(scores[1:])
    scores.flags.writeable = False
    return scores


def scores(label: str, members: int) -> Array:
    """Scores of one uncertain quantity.

    Parameters
    ----------
    members : int
        How many members besides the typical one. [-]

    Returns
    -------
    numpy.ndarray, shape (members + 1,)
        Standard-normal scores; the first is zero, the typical case. [-] Read-only.
    """
    return _drawn(label, members)
