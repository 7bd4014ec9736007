"""A window that was closed is let go, with all that belongs to it."""

from __future__ import annotations

import gc
import weakref

from PySide6.QtCore import QCoreApplication, QEvent


def closed(visit):
    """A window that had all its parts and was closed, as a reference that keeps nothing."""
    made = visit(sample="damson-stopped")
    window = made.window
    made.qtbot.waitUntil(lambda: window.opening.is_finished)
    window.unentered.forget()
    window.store.mark_saved()
    window.close()
    window.deleteLater()
    visit.forget(made)
    return weakref.ref(window)


def test_that_nothing_keeps_a_window_that_was_closed(visit):
    gone = closed(visit)
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    gc.collect()
    assert gone() is None
