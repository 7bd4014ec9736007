"""Writes all icons of the program: `python resources/icons/make.py`. What it writes stands beside it.

The drawings are the project's own: strokes of 1.5 on a grid of 20, with round ends and no fill.
"""

from __future__ import annotations

import os
from pathlib import Path

HERE = Path(__file__).parent
INKS = {"": "#3F433D", "dark": "#C9CCC5"}
"""By folder the colour of the strokes: on light ground, and on dark."""

DRAWINGS = {
    "adjust": '<path d="M10 2.75v14M6.25 17.25h7.5M4 5.25h12M4.25 5.5 2 11h4.5ZM15.75 5.5 13.5 11H18Z"/>',
    "bottle": '<path d="M8.25 2.25h3.5v4.5c0 1.7 2.25 2.25 2.25 4.5v5.25a1.25 1.25 0 0 1-1.25 1.25h-5.5A1.25 1.25 0 0 1 6 16.5v-5.25c0-2.25 2.25-2.8 2.25-4.5Z"/><path d="M6 11.75h8M8.25 4.75h3.5"/>',
    "feed": '<path d="M3 9.25 9.25 3c2.1 1.7 2.2 4.7.4 6.5S4.7 11.4 3 9.25Z"/><path d="M10 9.85 17.25 17.25"/><path d="M5.75 2.5v.01M2.5 5.75v.01M2.75 2.5v.01" stroke-width="2.25"/>',
    "fruit": '<circle cx="6.5" cy="13.5" r="3.75"/><circle cx="14" cy="12.25" r="3.5"/><path d="M6.5 9.75C7 7 9 4.6 11.5 3.25M14 8.75C14 6.4 13.2 4.6 11.5 3.25M11.5 3.25c1.9-1.4 4.2-1.1 5.5.5-1.9 1.3-4 1.1-5.5-.5"/>',
    "honey": '<path d="M10 2.25 16.75 6v8L10 17.75 3.25 14V6Z"/><path d="M3.25 10.25c2.2-1.7 4.5 1.7 6.75 0s4.55-1.7 6.75 0"/>',
    "reading": '<path d="M9 1.75h2v8.15c1.45.6 2.3 1.9 2.3 3.4 0 2.4-1.3 4.95-3.3 4.95s-3.3-2.55-3.3-4.95c0-1.5.85-2.8 2.3-3.4Z"/><path d="M2 6.5c1.5-1.2 3 1.2 4.5 0M13.5 6.5c1.5-1.2 3 1.2 4.5 0M8 14.25h4"/>',
    "schedule": '<rect x="2.75" y="3.75" width="14.5" height="13.5" rx="1.5"/><path d="M2.75 7.75h14.5M6.75 2.25v3M13.25 2.25v3M6.75 12.25l2.25 2.25 4.25-4"/>',
    "sugar-test": '<rect x="6.75" y="2.25" width="6.5" height="15.5" rx="1.25"/><path d="M9 11h2v1.5H9ZM9 14.25h2V15.5H9Z"/><path d="M9 5.5h2"/>',
    "taste": '<path d="M5.75 2.25h8.5c.5 4.9-.7 8.5-4.25 8.5s-4.75-3.6-4.25-8.5Z"/><path d="M10 10.75v6.75M6.5 17.5h7M5.8 6h8.4"/>',
    "temperature": '<path d="M7.75 11.5V4.5a2.25 2.25 0 0 1 4.5 0v7a3.75 3.75 0 1 1-4.5 0Z"/><path d="M10 8v6.5M15 4.5h2.25M15 7.5h2.25M15 10.5h2.25"/>',
    "water": '<path d="M10 2.5S4.5 8.5 4.5 12.25a5.5 5.5 0 0 0 11 0C15.5 8.5 10 2.5 10 2.5Z"/><path d="M7.25 12.5a2.75 2.75 0 0 0 2.5 2.65"/>',
    "yeast": '<circle cx="8" cy="11.75" r="5.25"/><circle cx="14.5" cy="5.5" r="2.75"/><circle cx="7" cy="12.75" r="1.5"/>',
}

PROGRAM = """<svg xmlns="http://www.w3.org/2000/svg" width="128" height="128" viewBox="0 0 128 128">
<rect x="4" y="4" width="120" height="120" rx="26" fill="#75295F"/>
<path d="M64 18 104 41v46L64 110 24 87V41Z" fill="#FFF3D6"/>
<path d="M24 66c13-9 27 9 40 0s27-9 40 0v21L64 110 24 87Z" fill="#D9A63A"/>
<path d="M60 28h8v34c6 3 10 9 10 16 0 10-6 20-14 20s-14-10-14-20c0-7 4-13 10-16Z" fill="#FFFFFF" stroke="#75295F" stroke-width="4" stroke-linejoin="round"/>
<path d="M64 38v.01M64 48v.01M64 58v.01" stroke="#75295F" stroke-width="5" stroke-linecap="round"/>
<circle cx="64" cy="82" r="7" fill="#75295F"/>
</svg>
"""
"""The program's own: a hydrometer in a cell of honey."""


def drawing(name: str, ink: str) -> str:
    """One icon."""
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="20" height="20" viewBox="0 0 20 20" fill="none" '
        f'stroke="{ink}" stroke-width="1.5" stroke-linecap="round" stroke-linejoin="round">{DRAWINGS[name]}</svg>\n'
    )


def texts() -> dict[str, str]:
    """Every drawing by its place."""
    made = {f"{folder}/{name}.svg".lstrip("/"): drawing(name, ink) for folder, ink in INKS.items() for name in DRAWINGS}
    return {**made, "program.svg": PROGRAM}


def write_pictures() -> None:
    """The program's icon for Windows and macOS, which take pictures of several sizes in one file."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from PySide6.QtGui import QGuiApplication, QIcon

    application = QGuiApplication([])
    icon = QIcon(str(HERE / "program.svg"))
    for side in (48, 256):
        icon.pixmap(side, side).save(str(HERE / f"program-{side}.png"))
    icon.pixmap(64, 64).save(str(HERE / "program.ico"))
    icon.pixmap(256, 256).save(str(HERE / "program.icns"))
    application.quit()


if __name__ == "__main__":
    for place, text in texts().items():
        (HERE / place).parent.mkdir(exist_ok=True)
        (HERE / place).write_text(text, encoding="utf-8")
    write_pictures()
