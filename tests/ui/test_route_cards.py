"""Ways to finish come card by card, on scales that they share, and working them out can be cancelled."""

from __future__ import annotations

import pytest
from example_batches import routes

from planner.document.codec import decode
from planner.planning.routes import each_route, ordered
from planner.reference.catalogue import catalogue
from planner.reference.shipped import samples
from planner.ui.display import Display
from planner.ui.recipe.routes import RoutesDialog

SHELF = catalogue()
QUINCE = decode((samples() / "quince-planned.meadbatch").read_bytes())


@pytest.fixture
def dialog(qtbot):
    made = RoutesDialog(SHELF, Display())
    qtbot.addWidget(made)
    yield made
    made.shut_down()


def test_that_ways_one_by_one_are_the_ways_together():
    one_by_one = ordered(each_route(QUINCE, SHELF, 0))
    assert [route.key for route in one_by_one] == [route.key for route in routes(QUINCE, SHELF, 0)]


def test_that_cards_come_one_by_one_and_say_how_many_there_are(dialog, qtbot):
    counts = []
    dialog._found_one.connect(lambda _batch, found: counts.append(len(found)))
    dialog.show()
    dialog.show_batch(QUINCE)
    assert dialog.progress.text().startswith("Working out the ways: 0 ways")
    assert dialog.cancel.isVisible()
    qtbot.waitUntil(dialog.columns.isEnabled, timeout=60_000)
    assert counts == list(range(1, len(dialog.cards) + 1))
    assert not dialog.cancel.isVisible()
    assert not dialog.progress.isVisible()


def test_that_it_is_cancelled_and_keeps_what_is_there(dialog, qtbot):
    dialog.show()
    dialog.show_batch(QUINCE)
    qtbot.waitUntil(lambda: len(dialog.cards) >= 1, timeout=60_000)
    dialog.cancel.click()
    qtbot.waitUntil(dialog.columns.isEnabled, timeout=60_000)
    assert 1 <= len(dialog.cards) <= len(routes(QUINCE, SHELF, 0))
    assert dialog.progress.text().startswith("Cancelled after")
    assert any(card.take.isEnabled() for card in dialog.cards.values())


def test_that_all_bars_of_a_line_are_on_one_scale(dialog):
    dialog._batch = QUINCE
    dialog._show_routes(routes(QUINCE, SHELF, 50))
    for caption in ("Alcohol", "Sweet as sugar", "Time to bottle"):
        bars = [card.rows[caption].bar for card in dialog.cards.values() if card.route.alcohol is not None]
        spans = [line.span(card.route) for card in dialog.cards.values() for line in dialog._rows()
                 if line.caption == caption and card.route.alcohol is not None]  # fmt: skip
        low = min(span.low for span in spans)
        high = max(span.high for span in spans)
        assert all(bar.position(low) == 0.0 and bar.position(high) == 1.0 for bar in bars)


def test_that_what_sets_a_way_apart_is_bold_and_what_is_common_is_not(dialog):
    dialog._batch = QUINCE
    dialog._show_routes(routes(QUINCE, SHELF, 50))
    cards = [card for card in dialog.cards.values() if card.route.batch is not None]
    for line in dialog._rows():
        bold = {card._words[line.caption].font().bold() if line.caption in card._words
                else card.rows[line.caption].value.font().bold()
                for card in cards if card.text_of(line.caption) == cards[0].text_of(line.caption)}  # fmt: skip
        assert len(bold) == 1  # the same words look the same
    yeasts = {card.text_of("Yeast"): card._words["Yeast"].font().bold() for card in cards}
    assert set(yeasts.values()) <= {True, False}
    assert sum(yeasts.values()) == len(yeasts) - 1


def test_that_how_is_folded_until_it_is_asked_for(dialog, qtbot):
    dialog._batch = QUINCE
    dialog._show_routes(routes(QUINCE, SHELF, 0))
    card = next(card for card in dialog.cards.values() if card.route.batch is not None)
    assert card.steps.isHidden()
    card.how.toggle()
    assert not card.steps.isHidden()
    assert card.steps.text().startswith("1. ")
