"""What several tests use."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtGui import QPagedPaintDevice, QPageSize, QPdfWriter

from planner.ui.asking import Answer, Clash


class ScriptedAsk:
    """Answers the program's questions from a list, and keeps what was asked.

    A question beyond the list, or one that the next answer does not fit, fails the test.
    """

    def __init__(self, *answers: Answer | Clash | Path | bool | None) -> None:
        self._answers = list(answers)
        self.asked: list[tuple[str, ...]] = []
        self.told: list[str] = []

    @property
    def is_done(self) -> bool:
        """Whether every answer was used."""
        return not self._answers

    def save_changes(self, name: str) -> Answer:
        answer = self._next(("save_changes", name), (Answer,))
        assert isinstance(answer, Answer)
        return answer

    def add_typed(self, text: str) -> Answer:
        answer = self._next(("add_typed", text), (Answer,))
        assert isinstance(answer, Answer)
        return answer

    def file_changed(self, name: str) -> Clash:
        answer = self._next(("file_changed", name), (Clash,))
        assert isinstance(answer, Clash)
        return answer

    def open_path(self, title: str, folder: Path, kinds: str) -> Path | None:
        answer = self._next(("open_path", title, str(folder), kinds), (Path, type(None)))
        return answer if isinstance(answer, Path) else None

    def folder_path(self, title: str, folder: Path) -> Path | None:
        answer = self._next(("folder_path", title, str(folder)), (Path, type(None)))
        return answer if isinstance(answer, Path) else None

    def save_path(self, title: str, suggestion: Path, kinds: str) -> Path | None:
        answer = self._next(("save_path", title, str(suggestion), kinds), (Path, type(None)))
        return answer if isinstance(answer, Path) else None

    def paper(self, title: str, name: str, size: QPageSize, pages: int) -> QPagedPaintDevice | None:
        answer = self._next(("paper", title, name, size.name(), str(pages)), (Path, type(None)))
        device = QPdfWriter(str(answer)) if isinstance(answer, Path) else None
        if device is not None:
            device.setPageSize(size)
        return device

    def confirm(self, question: str, details: str, act: str) -> bool:
        return self._next(("confirm", question, details, act), (bool,)) is True

    def tell(self, text: str, details: str = "") -> None:
        self.told.append(f"{text}\n{details}".strip())

    def _next(self, question: tuple[str, ...], kinds: Sequence[type]) -> Answer | Clash | Path | bool | None:
        self.asked.append(question)
        assert self._answers, f"an unexpected question: {question}"
        answer = self._answers.pop(0)
        assert isinstance(answer, tuple(kinds)), f"{answer!r} does not answer {question}"
        return answer
