"""All commands in one table: what each is called, its keys, its menu, and the method of the window that does it.

The menus, the line that finds everything, and the page of keys are made from it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import NamedTuple

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QMenu, QMenuBar, QWidget


class Act(NamedTuple):
    """One entry of a menu.

    `method` names a method of the window; for an entry that is one of several, `choice` is passed to it and
    `group` keeps them exclusive.
    """

    menu: str
    text: str
    method: str
    key: str = ""
    hint: str = ""
    group: str = ""
    choice: str = ""

    @property
    def name(self) -> str:
        """By which the entry is known: the method, or "method/choice"."""
        return f"{self.method}/{self.choice}" if self.group else self.method


SEPARATOR = "-"
PREFERENCES = "Preferences"
"""What the entries without a menu belong to."""

ACTS: tuple[Act | str, ...] = (
    Act("&File", "&New batch", "new_batch", "Ctrl+N"),
    Act(
        "&File",
        "Ne&xt batch from this one",
        "next_batch",
        "Ctrl+Shift+N",
        "The same recipe again, without log, adjustment and tastings",
    ),
    Act("&File", "&Open…", "open_batch", "Ctrl+O"),
    "&File/Open &recent",
    "&File/Sa&mples",
    f"&File/{SEPARATOR}",
    Act("&File", "&Save", "save", "Ctrl+S"),
    Act("&File", "Save &as…", "save_as", "Ctrl+Shift+S"),
    f"&File/{SEPARATOR}",
    Act("&File", "&Compare batches…", "compare_batches", "", "Up to six batches side by side, and why they differ"),
    f"&File/{SEPARATOR}",
    Act("&File", "&Import readings…", "import_readings", "Ctrl+I", "Read a log from a text or spreadsheet file"),
    Act(
        "&File",
        "&Watch a file…",
        "watch_file",
        "Ctrl+Shift+W",
        "Take readings from a file that a sensor keeps writing to",
    ),
    Act("&File", "Watch a fol&der…", "watch_folder", "", "Take readings from the newest table in a folder"),
    Act("&File", "Stop watchin&g", "stop_watching", "", "Take no more readings from the watched file"),
    Act("&File", "&Export readings…", "export_readings", "", "Write the log as a text file for a spreadsheet"),
    Act("&File", "Export repor&t…", "export_report", "Ctrl+Shift+E", "Write all that is shown here as text or JSON"),
    Act(
        "&File",
        "&Print…",
        "show_papers",
        "Ctrl+P",
        "The batch on paper, to see, to print, and to save as a PDF or a web page",
    ),
    Act("&File", "Save pict&ure of the curve…", "save_picture", "Ctrl+Shift+P"),
    f"&File/{SEPARATOR}",
    Act("&File", "&Quit", "close", "Ctrl+Q"),
    "&Edit/undo",
    "&Edit/redo",
    f"&Edit/{SEPARATOR}",
    Act("&Edit", "Cu&t", "cut", "Ctrl+X"),
    Act("&Edit", "&Copy", "copy", "Ctrl+C", "Copy text, a result, rows of a table, or the curve as a picture"),
    Act("&Edit", "&Paste", "paste", "Ctrl+V", "Paste text into a field, or readings into the log"),
    Act("&Edit", "Select &all", "select_all", "Ctrl+A"),
    f"&Edit/{SEPARATOR}",
    Act("&Edit", "&Find…", "find_anything", "Ctrl+K; Ctrl+F", "Search commands, fields, ingredients, doubts and notes"),
    f"&Edit/{SEPARATOR}",
    Act("&Edit", "Paste rea&dings", "paste_readings", "Ctrl+Shift+V", "Take readings copied from a spreadsheet"),
    Act("&Edit", "&Enter a reading", "enter_reading", "Ctrl+L", "Go to the line where a reading is typed"),
    f"&Edit/{SEPARATOR}",
    Act(
        "&Edit", "Prefere&nces…", "show_preferences", "Ctrl+,", "Units, scale, theme, letters, folder, hints and prices"
    ),
    Act("", "Metric units", "set_system", "", "", "system", "metric"),
    Act("", "US units", "set_system", "", "", "system", "us"),
    Act("", "Specific gravity", "set_gravity_scale", "", "", "gravity", "sg"),
    Act("", "°Brix", "set_gravity_scale", "", "", "gravity", "brix"),
    Act("", "Theme as the desktop", "set_appearance", "", "", "appearance", "system"),
    Act("", "Light theme", "set_appearance", "", "", "appearance", "light"),
    Act("", "Dark theme", "set_appearance", "", "", "appearance", "dark"),
    Act(
        "&Batch",
        "Compare ways to &finish…",
        "show_routes",
        "Ctrl+R",
        "Compare ways to the sweetness and strength you want",
    ),
    Act("&Batch", "&Schedule…", "show_schedule", "Ctrl+D", "What is done when; for a calendar, too"),
    Act(
        "&Batch", "P&in this design", "pin_design", "Ctrl+T", "Keep curve and figures, and see what changes from now on"
    ),
    Act(
        "&Batch",
        "S&wap with the pinned design",
        "swap_pinned",
        "Ctrl+Shift+T",
        "Take the pinned design back, and pin this one",
    ),
    Act(
        "&Batch",
        "&Keep the pinned design…",
        "keep_pinned",
        "",
        "Write the pinned design to a file as a batch of its own",
    ),
    Act("&Batch", "&Propose feeds…", "propose_feeds", "", "What the must lacks in nitrogen, and what to feed when"),
    Act("&Batch", "Sc&ale the batch…", "scale_batch", "Ctrl+Shift+A", "The same recipe for another harvest or vessel"),
    Act(
        "&Batch",
        "What was &expected and what came…",
        "show_lessons",
        "",
        "From the fruit to the glass, and what the next batch takes over",
    ),
    Act(
        "&Batch",
        "&Learn from earlier batches…",
        "show_learning",
        "",
        "What your batches tell of this yeast, fruit and press",
    ),
    Act("&Batch", "&Tasting sheets…", "show_sheets", "", "What was tasted when, on unbroken lines, and how it ages"),
    Act("&Batch", "&Blind tests…", "show_tests", "", "Glasses with codes, and what the answers show"),
    Act("&Batch", "&Cellar…", "show_cellar", "Ctrl+Shift+O", "All batches of a folder, and what is due next"),
    Act(
        "&Batch",
        "My in&gredients…",
        "edit_ingredients",
        "Ctrl+Shift+I",
        "Fruit, honey, yeast and more with values of your own",
    ),
    Act("&View", "Da&ys since pitching", "set_axis", "Ctrl+3", "", "axis", "days"),
    Act("&View", "&Calendar", "set_axis", "Ctrl+4", "Dates on the lower axis of the curve", "axis", "dates"),
    f"&View/{SEPARATOR}",
    Act("&View", "&Gravity", "set_level", "Ctrl+1", "", "level", "gravity"),
    Act(
        "&View",
        "D&ifference from expected",
        "set_level",
        "Ctrl+2",
        "How far readings are from the curve",
        "level",
        "difference",
    ),
    f"&View/{SEPARATOR}",
    Act("&View", "&Next pane", "next_pane", "F6", "Go to the recipe, the curve, the adjustment, and to the doubts"),
    Act("&View", "&Previous pane", "previous_pane", "Shift+F6"),
    Act("&View", "Fold the &recipe", "fold_recipe", "F7"),
    Act("&View", "Fold the cur&ve", "fold_curve", "F8"),
    Act("&View", "Fold the &adjustment", "fold_adjustment", "F9"),
    Act("&View", "Show the &whole curve", "reset_zoom", "Ctrl+0"),
    Act(
        "&View",
        "Lay an &earlier batch beside…",
        "lay_beside",
        "Ctrl+B",
        "Its readings and curve under those of this one",
    ),
    Act("&View", "&Take the earlier batch away", "take_away"),
    Act("&View", "&How the ferment stands", "show_reasons", "F3", "The verdict, its evidence, and all the next steps"),
    Act("&View", "&Findings", "show_findings", "F4", "All doubts about this batch"),
    Act("&Help", "&What is this?", "explain", "F1", "Explain the figure under the cursor or in focus"),
    Act(
        "&Help", "Where do these &figures come from?", "show_provenance", "", "Method, sources and assumptions of each"
    ),
    Act("&Help", "&Keyboard shortcuts", "show_keys", "Ctrl+F1", "Every key, by where it works"),
    Act("&Help", "First s&teps", "show_first_steps", "", "The page of the first start: fruit, a sample, or a file"),
    Act("&Help", "&Sources", "show_sources", "", "Where the figures come from"),
    Act("&Help", "&About", "about", ""),
)
"""Entries in order. One without a menu is found by typing, and stands among the preferences. A text "menu/name" is a
separator or a place that the window fills itself."""

ELSEWHERE: Mapping[str, tuple[tuple[str, str], ...]] = MappingProxyType(
    {
        "In a field": (
            ("Enter", "Take what is typed, and go on"),
            ("Esc", "Give up what is typed"),
            ("Up, Down", "A step more or less; ten steps with Shift"),
            ("Alt+Down", "Open the list of a choice"),
        ),
        "In a line of the recipe or of the additions": (
            ("F2", "The next part of the line: name, amount, moment, removal, details"),
            ("Ctrl+Del", "Remove the line"),
        ),
        "In a tasting note": (
            ("Up, Down", "The note above or below, from its first and last line"),
            ("F2", "Its day, and its removal"),
        ),
        "In the line of a reading": (
            ("F2", "What the figure means, the instrument, its calibration"),
            ("Enter", "Add the reading"),
        ),
        "In the log": (
            ("Enter", "Edit a cell"),
            ("Del", "Remove the selected readings"),
            ("Ctrl+E", "Leave the selected readings out, or count them again"),
            ("Ctrl+V", "Paste readings"),
        ),
        "On the curve": (
            ("Left, Right, Up, Down", "Move the view"),
            ("+, −", "Come closer, go away"),
            ("Home", "The whole view"),
            ("Ctrl+Left, Ctrl+Right", "Read off the curve, day by day"),
        ),
        "Among results and folds": (
            ("Up, Down", "From one to the next"),
            ("Space", "Open or close a fold"),
            ("F1", "What it means, and where it comes from"),
        ),
    }
)
"""Keys that work only where the focus is, with what they do."""

ON_CURVE = (
    "reset_zoom",
    "set_axis/days",
    "set_axis/dates",
    "set_level/gravity",
    "set_level/difference",
    "copy",
    "save_picture",
)
"""Entries of the curve's own menu."""


class Menus:
    """The menu bar made from the table, with the parts that the window fills by name."""

    def __init__(self, bar: QMenuBar, window: QObject, undo: QAction, redo: QAction) -> None:
        self.actions: dict[str, QAction] = {}
        """Entries by method, or by "method/choice"."""
        self.by_menu: dict[str, list[QAction]] = {"File": [], "Edit": [undo, redo]}
        """Entries by the name of their menu."""
        self.submenus: dict[str, QMenu] = {}
        """Menus that the window fills, by name."""
        self.menus: dict[str, QMenu] = {}
        """The menus by their titles."""
        self._groups: dict[str, QActionGroup] = {}
        self._bar, self._window = bar, window
        for entry in ACTS:
            if isinstance(entry, Act):
                self._add(entry)
                continue
            menu, _, name = entry.partition("/")
            if name == SEPARATOR:
                self._menu(menu).addSeparator()
            elif name in ("undo", "redo"):
                self._menu(menu).addAction(undo if name == "undo" else redo)
            else:
                self.submenus[name.replace("&", "")] = self._menu(menu).addMenu(name)

    def _menu(self, title: str) -> QMenu:
        if title not in self.menus:
            self.menus[title] = self._bar.addMenu(title)
        return self.menus[title]

    def _add(self, entry: Act) -> None:
        action = QAction(entry.text, self._window)
        action.setShortcuts([QKeySequence(key) for key in entry.key.split("; ") if key])
        if entry.hint:
            action.setStatusTip(entry.hint)
        if entry.group:
            if entry.group not in self._groups:
                self._groups[entry.group] = QActionGroup(self._window)
            action.setCheckable(True)
            action.setData((entry.method, entry.choice))
            self._groups[entry.group].addAction(action)
        action.triggered.connect(getattr(self._window, "choose" if entry.group else entry.method))
        if entry.menu:
            self._menu(entry.menu).addAction(action)
        self.actions[entry.name] = action
        self.by_menu.setdefault(entry.menu.replace("&", "") or PREFERENCES, []).append(action)


def offer(widget: QWidget, menus: Menus, names: Iterable[str]) -> None:
    """Give a widget a menu of its own with these entries."""
    for name in names:
        widget.addAction(menus.actions[name])
    widget.setContextMenuPolicy(Qt.ContextMenuPolicy.ActionsContextMenu)
