"""See it: the map of sweet and sharp, and the changes as bars of noticeable steps."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
from PySide6.QtWidgets import QWidget

from planner.adjusting.dose import forward, values_of
from planner.adjusting.mead import Mead
from planner.document.batch import Addition, Trial
from planner.evaluation.outcome import Outcome
from planner.model.liquid import Liquid, volume
from planner.reference.catalogue import Catalogue
from planner.ui.adjust.bars import ChangeBars
from planner.ui.adjust.sweet_sharp_map import Place, Role, SweetSharpMap, place_of
from planner.ui.adjust.tool import Tool, dim, same_mead
from planner.ui.display import Display

_DRAWN = ("acid", "sweetness", "viscosity", "alcohol")


class Picture(Tool):
    """The mead before and after among its glasses and an earlier batch."""

    def __init__(self, catalogue: Catalogue, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(display, parent, catalogue)
        self.earlier: tuple[Outcome, ...] = ()
        """Other batches to draw beside this one."""
        self._tasted: tuple[Place, ...] = ()
        self._tasted_on: tuple[Trial, Liquid] | None = None
        self.map = SweetSharpMap(display)
        self.key = dim(
            "● after  ○ before  ▢ glass  ◇ earlier batches. The larger, the fuller the body. "
            "Dashed: equally sharp, by estimate."
        )
        self.bars = ChangeBars(display)
        self.scale = dim("Before → after, in steps that tasters can just notice:")
        for part in (self.map, self.key, self.scale, self.bars):
            self.column.addWidget(part)

    def show_earlier(self, earlier: tuple[Outcome, ...]) -> None:
        """Draw other batches beside this one."""
        if self.earlier is not earlier:
            self.earlier = earlier
            self.refresh()

    def refresh(self) -> None:
        for part in (self.map, self.bars):
            part.set_display(self.display)
        mead = self.outcome.mead if self.outcome else None
        self.setEnabled(mead is not None)
        changed = mead is not None and bool(mead.effects)
        self.scale.setVisible(changed)
        self.bars.setVisible(changed)
        if mead is None or self.outcome is None:
            self.map.show_places(())
            return
        self.map.show_places(self._places(mead))
        self.bars.show_mead(mead)

    def _places(self, mead: Mead) -> Iterator[Place]:
        assert self.outcome is not None
        for other in self.earlier:
            if other.mead is not None:
                yield place_of(Role.EARLIER, other.batch.name[:24], other.mead.after)
        trials = self.outcome.batch.adjustment.trials
        if trials:
            yield from self._glasses(trials[-1], mead)
        changed = bool(mead.effects)
        yield place_of(Role.BEFORE, "before" if changed else "now", mead.before)
        if mead.now is not None:
            yield place_of(Role.NOW, "so far", mead.now)
        if changed:
            yield place_of(Role.AFTER, "after", mead.after)

    def _glasses(self, trial: Trial, mead: Mead) -> tuple[Place, ...]:
        """Where the glasses lie; worked out once for one mead."""
        held = self._tasted_on
        if held is None or held[0] != trial or not same_mead(held[1], mead.base):
            assert self.outcome is not None
            lines = {line.key: line for line in self.outcome.batch.adjustment.additions}
            self._tasted, self._tasted_on = glasses(trial, mead, self._catalogue, lines), (trial, mead.base)
        return self._tasted


def glasses(
    trial: Trial, mead: Mead, catalogue: Catalogue, lines: Mapping[str, Addition] | None = None
) -> tuple[Place, ...]:
    """Where the glasses of a trial lie, by their number; one that holds nothing is the mead as it stands."""
    base = mead.base.member(0)
    parts = [part for part in trial.parts if part.key in catalogue.additives]
    filled = [(number, glass) for number, glass in enumerate(trial.glasses, start=1) if glass.strength > 0.0]
    if not filled or not parts:
        return ()
    strengths = np.array([glass.strength for _, glass in filled])
    masses = np.array([part.dose * strengths for part in parts]) * float(volume(base))
    rows = [catalogue.additives[part.key] for part in parts]
    mixed = forward(base, rows, masses, [(lines or {}).get(part.key) for part in parts])
    found = values_of(mixed, _DRAWN, {})
    return tuple(
        _glass(number, [float(found[key][place]) for key in _DRAWN], glass.score)
        for place, (number, glass) in enumerate(filled)
    )


def _glass(number: int, values: list[float], liked: float | None) -> Place:
    acid, sweetness, body, alcohol = values  # as in _DRAWN
    return Place(Role.GLASS, str(number), acid, sweetness, body, alcohol, liked)
