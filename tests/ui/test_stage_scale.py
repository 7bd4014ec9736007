"""The stem shows in which stage a batch is, and that it stalled, in words and shapes as well as in colours."""

from __future__ import annotations

from datetime import datetime, timedelta

import msgspec
import pytest
from PySide6.QtGui import QColor

from planner.document.codec import decode
from planner.evaluation.headline import STAGES
from planner.evaluation.outcome import evaluate
from planner.reference.catalogue import catalogue
from planner.reference.shipped import samples
from planner.ui import theme
from planner.ui.shell.stage_scale import Place, Stem, place_of

NOON = datetime.fromisoformat("2026-11-22T12:00:00+00:00")


def outcome_of(sample, members=40):
    batch = decode((samples() / f"{sample}.meadbatch").read_bytes())
    return evaluate(batch, catalogue(), members, NOON)


@pytest.fixture
def stem(qtbot):
    made = Stem()
    made.setPalette(theme.palette(dark=False))
    made.resize(900, made.sizeHint().height())
    qtbot.addWidget(made)
    return made


@pytest.mark.parametrize(
    ("sample", "stage", "words", "stalled"),
    [
        ("quince-planned", "plan", "Planned", False),
        ("damson-stopped", "ferment", "Stalled", True),
        ("raspberry-finished", "adjust", "Adjusting", False),
    ],
)
def test_that_a_batch_stands_where_its_log_says(sample, stage, words, stalled):
    place = place_of(outcome_of(sample))
    assert (place.stage, place.words, place.is_stalled) == (STAGES.index(stage), words, stalled)
    assert 0.0 <= place.share <= 1.0


def test_that_a_ferment_counts_its_days_and_moves_along():
    outcome = outcome_of("blackcurrant-half-way")
    shares = []
    for days in (3, 12):
        pitched = (datetime.now().astimezone() - timedelta(days=days, hours=1)).isoformat()
        log = msgspec.structs.replace(outcome.batch.log, pitched_at=pitched)
        place = place_of(msgspec.structs.replace(outcome, batch=msgspec.structs.replace(outcome.batch, log=log)))
        assert place.words == f"Fermenting · day {days}"
        shares.append(place.share)
    assert shares[0] < shares[1] < 1.0


def test_that_the_stem_is_told_to_those_who_do_not_see_it(stem):
    stem.show_outcome(outcome_of("damson-stopped"))
    assert stem.accessibleName() == "Stage of the batch"
    assert stem.accessibleDescription() == "Stalled: stage 2 of 5"


def drawn(stem, place):
    stem._place = place
    image = stem.grab().toImage()
    return [[image.pixelColor(x, y) for x in range(image.width())] for y in range(image.height())]


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_that_what_is_done_is_filled_and_a_stall_is_hatched(stem, dark):
    stem.setPalette(theme.palette(dark))
    tones = theme.colours(dark)
    height = stem.height() - 3 * theme.unit(stem.fontMetrics()) + 3
    working = {c.name() for c in drawn(stem, Place(1, "Fermenting", 0.5, False))[height]}
    stalled = {c.name() for c in drawn(stem, Place(1, "Stalled", 0.5, True))[height]}
    assert {tones.dim, tones.accent} <= working
    assert QColor(tones.warned).name() in stalled
    assert tones.accent not in stalled
    for colour in (tones.dim, tones.accent, tones.edge, tones.warning):  # WCAG 2.1, 1.4.11
        assert theme.contrast(colour, tones.window) >= 3.0
