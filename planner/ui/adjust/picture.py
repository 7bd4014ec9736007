"""See it: the map of sweet and sharp, and the changes as bars of noticeable steps."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtWidgets import QWidget

from planner.batch.adjusting.dose import values_of
from planner.batch.adjusting.mead import Mead
from planner.batch.adjusting.stirring import liquid_of, stirred
from planner.batch.batch import Trial
from planner.batch.outcome import Outcome
from planner.model.liquid import Liquid, volume
from planner.reference.catalogue import Catalogue
from planner.ui.adjust.bars import ChangeBars
from planner.ui.adjust.sweet_sharp_map import Place, Role, SweetSharpMap, place_of
from planner.ui.adjust.tool import Tool, dim
from planner.ui.display import Display

_DRAWN = ("acid", "sweetness", "viscosity", "alcohol")


class Picture(Tool):
    """The mead before and after among its glasses and an earlier batch."""

    def __init__(self, catalogue: Catalogue, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(display, parent, catalogue)
        self._earlier: Outcome | None = None
        self.map = SweetSharpMap(display)
        self.key = dim(
            "● after  ○ before  ▢ glass  ◇ earlier batch. The larger, the fuller the body; the number is the alcohol. "
            "Dashed: the same balance."
        )
        self.bars = ChangeBars(display)
        for part in (self.map, self.key, self.bars):
            self.column.addWidget(part)

    def show_earlier(self, earlier: Outcome | None) -> None:
        """Another batch to draw beside this one."""
        self._earlier = earlier
        self.refresh()

    def refresh(self) -> None:
        self.map.set_display(self.display)
        self.bars.set_display(self.display)
        mead = self.outcome.mead if self.outcome else None
        self.setEnabled(mead is not None)
        if mead is None or self.outcome is None:
            self.map.show_places(())
            return
        self.map.show_places(self._places(mead))
        self.bars.show_mead(mead)

    def _places(self, mead: Mead) -> Iterator[Place]:
        assert self.outcome is not None
        earlier = self._earlier.mead if self._earlier else None
        if earlier is not None and self._earlier is not None:
            yield place_of(Role.EARLIER, self._earlier.batch.name[:24], earlier.after)
        trials = self.outcome.batch.adjustment.trials
        if trials:
            yield from glasses(trials[-1], mead, self._catalogue)
        changed = bool(mead.effects)
        yield place_of(Role.BEFORE, "before" if changed else "now", mead.before)
        if mead.now is not None:
            yield place_of(Role.NOW, "so far", mead.now)
        if changed:
            yield place_of(Role.AFTER, "after", mead.after)


def glasses(trial: Trial, mead: Mead, catalogue: Catalogue) -> Iterator[Place]:
    """Where the glasses of a trial lie, by their number."""
    base = mead.base.member(0)
    room = float(volume(base))
    for number, glass in enumerate(trial.glasses, start=1):
        if glass.strength <= 0.0:
            continue  # it is the mead as it stands
        mixed = base
        for part in trial.parts:
            row = catalogue.additives.get(part.key)
            if row is not None:
                mass = part.dose * glass.strength * room
                mixed = stirred(mixed, row, mass, liquid_of(row, mass))
        found = values_of(Liquid(mixed.masses[:, None]), _DRAWN, {})
        acid, sweet, body, strength = (float(found[key][0]) for key in _DRAWN)
        yield Place(Role.GLASS, str(number), acid, sweet, body, strength, glass.score)
