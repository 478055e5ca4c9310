"""The order of work in the builder's words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from tasks.models import Task
from tasks.order import Moved, Order, trouble_words
from tasks.plan import Plan, State
from tasks.words import of

__all__ = ["Line", "Shift", "Trouble", "lines_of", "shift_words", "shifts_of", "troubles_of"]


@dataclass(frozen=True, slots=True)
class Line:
    """A task of the order of work: when it is worked on, and what holds it there."""

    task: Task
    state: str
    start: dt.datetime
    finish: dt.datetime
    cured: dt.datetime
    pinned: bool
    fixed: bool


@dataclass(frozen=True, slots=True)
class Shift:
    """A task that a better order starts at another time."""

    task: Task
    start: dt.datetime
    offered: dt.datetime


@dataclass(frozen=True, slots=True)
class Trouble:
    """What is wrong with some tasks, and what to do about it."""

    words: str
    tasks: list[Task]


def lines_of(plan: Plan, order: Order, most: int | None = None) -> list[Line]:
    """The unfinished tasks in their order, as many as asked for."""
    lines = []
    for pk in order.order[:most]:
        planned = plan.tasks.get(pk)
        if planned is None or planned.state in (State.DONE, State.CURING, State.LEFT_OUT):
            continue
        place, task = order.places[pk], planned.task
        lines.append(
            Line(
                task=task,
                state=planned.state.value,
                start=place.resume,
                finish=place.finish,
                cured=place.cured,
                pinned=task.pinned_at is not None and task.started_at is None,
                fixed=task.turn is not None and task.started_at is None,
            )
        )
    return lines


def shifts_of(plan: Plan, moved: Iterable[Moved]) -> list[Shift]:
    return [
        Shift(plan.tasks[one.task].task, one.start, one.offered)
        for one in moved
        if one.task in plan.tasks
    ]


def troubles_of(plan: Plan, order: Order) -> list[Trouble]:
    """What could not be planned as asked: by what is wrong, with the tasks that it is about."""
    by_rule: dict[str, list[Task]] = {}
    for pk, rule in order.troubles:
        if pk in plan.tasks:
            by_rule.setdefault(rule, []).append(plan.tasks[pk].task)
    return [Trouble(trouble_words(rule), tasks) for rule, tasks in by_rule.items()]


def shift_words(minutes: int) -> str:
    """How much later (or sooner) a launch is: “12 days later”, “the same”.

    >>> shift_words(3 * 1440), shift_words(-1440), shift_words(30)
    ('three days later', 'one day sooner', 'the same day')
    """
    days = round(minutes / 1440)
    if not days:
        return "the same day"
    return f"{of(abs(days), 'day')} {'later' if days > 0 else 'sooner'}"
