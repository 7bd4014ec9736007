"""What of a schedule is still to be done: steps that a later one has overtaken are not."""

from __future__ import annotations

from planner.planning.task import Schedule, Task

ORDER = (
    ("thaw", "enzyme", "soak", "press", "honey"), ("pitch",),
    ("feed", "step-feed", "stir", "third", "temperature", "off-fruit"), ("restart",), ("rest",), ("racking",), ("tasting-0",),
    ("stabilise",), ("dose",), ("pasteurise",), ("bottle",), ("tasting-1",), ("open",),
)  # fmt: skip
"""Steps in the order of making; those of one place follow one another by their days."""

TEST = "sugar-test"
NEVER_OVERTAKEN = (TEST, "restart")
"""What no later step makes needless: a test alone tells what could ferment in a bottle, and a stall may be found late."""

UNRECORDED = "temperature"
"""What no log tells as done, so that its day decides."""


def still_due(plan: Schedule) -> tuple[Task, ...]:
    """The tasks that are not done, and that nothing done has overtaken: the next one first."""
    reached = max(
        (_place(task) for task in plan.tasks if task.done and _kind(task) not in NEVER_OVERTAKEN), default=(-1, 0.0)
    )
    waiting = (
        task
        for task in plan.tasks
        if not task.done
        and (_kind(task) in NEVER_OVERTAKEN or _place(task) > reached)
        and not (_kind(task) == UNRECORDED and plan.is_past(task))
    )
    return tuple(sorted(waiting, key=_place))


def _place(task: Task) -> tuple[float, float]:
    """Where a task stands in the order of making, and its day."""
    if _kind(task) == TEST:
        return _PLACES["rest"] + 0.5, task.day
    return _PLACES.get(task.key, _PLACES.get(_kind(task), len(ORDER))), task.day


def _kind(task: Task) -> str:
    """What kind of task it is: "feed" of "feed-2"."""
    kind, _, number = task.key.rpartition("-")
    return kind if number.isdecimal() else task.key


_PLACES: dict[str, float] = {key: float(place) for place, keys in enumerate(ORDER) for key in keys}
