"""What lowers acid, and what it says of itself."""

from __future__ import annotations

from planner.model.acidity import CARBONATES


def test_that_every_carbonate_says_what_it_does_to_the_ph():
    assert all("Raises the pH" in row.words for row in CARBONATES.values())
