"""Random liquids for property tests: drinks and musts of any of the model's components."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from planner.model.components import COMPONENTS
from planner.model.liquid import Liquid

SOLUTES = tuple(key for key in COMPONENTS if key not in ("water", "ethanol"))


def amounts(high: float) -> st.SearchStrategy[float]:
    """Nothing, or something up to a limit."""
    return st.just(0.0) | st.floats(1e-6, high)


@st.composite
def liquids(draw: st.DrawFn, ethanol: float = 0.2, solutes: tuple[str, ...] = SOLUTES) -> Liquid:
    """Mostly water, with up to four solutes and some ethanol."""
    masses = {key: draw(amounts(0.15)) for key in draw(st.lists(st.sampled_from(solutes), max_size=4, unique=True))}
    if ethanol:
        masses["ethanol"] = draw(amounts(ethanol))
    return Liquid.of(water=draw(st.floats(0.5, 2.0)), **masses) * draw(st.sampled_from([1.0, 1e-3, 300.0]))


@st.composite
def musts(draw: st.DrawFn) -> Liquid:
    """Musts with sugars in any division, also of one kind only; always with water enough to split them."""
    without = draw(liquids(ethanol=0.0))
    sugars = {key: draw(amounts(0.3)) * float(without.mass) for key in ("glucose", "fructose", "sucrose", "maltose")}
    return without.plus(**sugars)


def total(parts: list[Liquid]) -> np.ndarray:
    """Mass of each component in all of them."""
    return np.sum([part.masses for part in parts], axis=0)
