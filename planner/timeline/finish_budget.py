"""What makes the gravity at which a mead comes to rest, substance by substance."""

from __future__ import annotations

from planner.model.liquid import Liquid, gravity
from planner.model.span import Span
from planner.timeline.results import Part

_GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("sorbitol", ("sorbitol",)),
    ("acids", ("malic", "citric", "tartaric", "quinic", "gluconic", "lactic", "succinic", "acetic")),
    ("honey's higher sugars", ("higher_sugars",)),
    ("glycerol made by the yeast", ("glycerol",)),
    ("minerals, pectin and the like", ("other",)),
    ("sugar the yeast leaves", ("glucose", "fructose", "sucrose", "maltose")),
)


def finish_budget(finished: Liquid) -> tuple[Part, ...]:
    """What makes the finishing gravity: water at 1.000, less what alcohol takes, plus what each substance adds.

    Parameters
    ----------
    finished : Liquid
        The finished mead, shape (components, m). [kg]

    Returns
    -------
    tuple of Part
        In order; for each member they sum to its gravity less one. [-]
    """
    so_far = finished.without(*(key for _, keys in _GROUPS for key in keys))
    level = gravity(so_far)
    parts = [Part("alcohol", Span.of(level - 1.0))]
    for name, keys in _GROUPS:
        so_far = so_far.plus(**{key: finished[key] for key in keys})
        now = gravity(so_far)
        parts.append(Part(name, Span.of(now - level)))
        level = now
    return tuple(parts)
