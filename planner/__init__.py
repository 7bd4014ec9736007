"""Plan a fruit mead, follow it while it ferments, and adjust it before it is bottled.

Scripts and notebooks find here what `planner.library` describes, with worked examples; it is loaded when it is first
asked for, so that the package itself costs nothing to import.
"""

TYPE_CHECKING = False  # as that of `typing`, which is not loaded for it
if TYPE_CHECKING:
    from planner.library import (
        Answer,
        Batch,
        BatchFileError,
        Comparison,
        Found,
        ImpossibleBatch,
        Lesson,
        Outcome,
        Span,
        Wish,
        compare,
        edits,
        evaluate,
        find_dose,
        lessons,
        open_batch,
        open_batches,
        plan,
        report_data,
        save_batch,
        shelf,
    )

__version__ = "0.1.0"

__all__ = [
    "Answer",
    "Batch",
    "BatchFileError",
    "Comparison",
    "Found",
    "ImpossibleBatch",
    "Lesson",
    "Outcome",
    "Span",
    "Wish",
    "__version__",
    "compare",
    "edits",
    "evaluate",
    "find_dose",
    "lessons",
    "open_batch",
    "open_batches",
    "plan",
    "report_data",
    "save_batch",
    "shelf",
]


def __getattr__(name: str) -> object:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module("planner.library"), name)


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
