"""What is doubtful in the log stands under it: the gravest first, and the same of many readings once."""

from __future__ import annotations

import fermenting
import pytest

from planner.document.batch import new_batch
from planner.ui.curve.log_part import LogPart
from planner.ui.display import Display
from planner.ui.log.typed_addition import NO_NAMES
from planner.ui.store import BatchStore
from planner.wording.finding import note, warning


@pytest.fixture
def part(qtbot):
    made = LogPart(BatchStore(new_batch()), Display(), NO_NAMES)
    qtbot.addWidget(made)
    return made


def test_that_the_same_of_many_readings_is_told_once_and_leaves_room_for_another(part):
    alike = [
        warning(f"log.readings.{place}", "This reading lies in the future. Check its date.") for place in range(50)
    ]
    part._show_findings((note("log.readings.7", "Gravity rose."), *alike))
    assert part.remarks.texts() == ["This reading lies in the future. Check its date.", "Gravity rose."]
    assert part.remarks.findings[0].place == "log.readings.0"


def test_that_of_many_different_ones_the_gravest_are_told(part):
    batch = fermenting.stopped()
    part.show_batch(batch)
    part._show_findings((*(note("log", f"Note {n}.") for n in range(5)), warning("log", "Grave.")))
    assert part.remarks.texts() == ["Grave.", "Note 0."]
