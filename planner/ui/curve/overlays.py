"""Draws what lies beside a batch on its curve: an earlier batch, both counted from pitching, and the present day."""

from __future__ import annotations

from planner.ui.curve.artists import Artists
from planner.ui.curve.gravity_or_difference import Level
from planner.ui.curve.reference_batch import Earlier
from planner.ui.curve.view import View

_AT_RIGHT = 0.8
"""Share of the picture from which the word for the present day stands left of its line. [-]"""


def show_earlier(artists: Artists, earlier: Earlier | None, level: Level) -> None:
    """Draw another batch, or none."""
    artists.earlier.set_visible(earlier is not None)
    artists.earlier_marks.set_visible(earlier is not None)
    if earlier is not None:
        artists.earlier.set_data(earlier.days, level.of(earlier.gravity, earlier.days))
        artists.earlier_marks.set_data(earlier.read_day, level.of(earlier.read, earlier.read_day))


def show_today(artists: Artists, today: float | None, view: View) -> None:
    """Draw the present day where it is in sight, with its word on the side that has room."""
    seen = today is not None and view.left <= today <= view.right
    for artist in (artists.today, artists.today_below, artists.today_label):
        artist.set_visible(seen)
    if not seen or today is None:
        return
    artists.today.set_xdata([today, today])
    artists.today_below.set_xdata([today, today])
    at_right = (today - view.left) / view.days > _AT_RIGHT
    artists.today_label.set_horizontalalignment("right" if at_right else "left")
    artists.today_label.set_x(today + view.days * 0.006 * (-1.0 if at_right else 1.0))
