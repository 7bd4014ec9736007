"""Qt's application, or one sentence on why this system cannot show a window."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from PySide6.QtCore import QLibraryInfo, QMessageLogContext, QtMsgType, qFormatLogMessage, qInstallMessageHandler
from PySide6.QtWidgets import QApplication

from planner.starting import lacking


def begin() -> QApplication:
    """The application of this process.

    Where there is no screen, or a library that the screen needs, Qt says so in many lines and aborts the process; here it
    ends with one sentence. Only what Qt says while it begins is held back until it has begun.
    """
    said: list[str] = []
    lines: list[str] = []

    def hear(kind: QtMsgType, context: QMessageLogContext, text: str) -> None:
        said.append(text)
        if kind == QtMsgType.QtFatalMsg:  # Qt aborts the process when this returns
            print(why(said), file=sys.stderr, flush=True)
            os._exit(2)
        lines.append(qFormatLogMessage(kind, context, text))

    before = qInstallMessageHandler(hear)
    try:
        made = QApplication(sys.argv[:1])
    finally:
        qInstallMessageHandler(before)
    for line in lines:
        print(line, file=sys.stderr)
    return made


def why(texts: list[str]) -> str:
    """What hinders a window, by what Qt said and by what cannot be loaded."""
    import ctypes  # only where there will be no window

    plugins = Path(QLibraryInfo.path(QLibraryInfo.LibraryPath.PluginsPath)) / "platforms"
    for plugin in sorted(plugins.glob(f"libq{os.environ.get('QT_QPA_PLATFORM') or 'xcb'}.so")):
        try:
            ctypes.CDLL(str(plugin))
        except OSError as failure:
            if sentence := lacking(failure):
                return sentence
    if any("could not connect to display" in text for text in texts):
        return "There is no screen to open a window on. A report needs none: python -m planner.report BATCH"
    return f"The window cannot be opened: {texts[0].strip().splitlines()[0]}"
