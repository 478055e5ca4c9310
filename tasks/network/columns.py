"""Tasks and links as arrays, one element a task or link, in the order in which they were given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from operator import attrgetter
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from tasks.network.exceptions import DuplicateTask, UnknownTask
from tasks.network.table import NEVER, Ints
from tasks.network.values import LagIn, Link, LinkKind, Task, TaskId

__all__ = ["Flags", "LinkColumns", "TaskColumns", "link_columns", "number", "task_columns"]

Flags: TypeAlias = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class TaskColumns:
    """What is known of each task; -NEVER stands for an instant that there is not.

    `work` is what is left to do.
    """

    work: Ints
    cure: Ints
    unbroken: Flags
    started: Ints
    finished: Ints
    not_before: Ints


@dataclass(frozen=True, slots=True)
class LinkColumns:
    """What is known of each link, the tasks by number."""

    before: Ints
    after: Ints
    from_start: Flags
    to_finish: Flags
    lag: Ints
    elapsed: Flags
    waits_for_cure: Flags


def number(tasks: Sequence[Task]) -> dict[TaskId, int]:
    """The position of each task by its id; raises `DuplicateTask`."""
    numbers = {task.id: position for position, task in enumerate(tasks)}
    if len(numbers) < len(tasks):
        seen: set[TaskId] = set()
        for task in tasks:
            if task.id in seen:
                raise DuplicateTask(task.id)
            seen.add(task.id)
    return numbers


def task_columns(tasks: Sequence[Task]) -> TaskColumns:
    """The columns of some tasks."""
    minutes = _whole(tasks, "minutes")
    finished, left = _perhaps(tasks, "finished"), _perhaps(tasks, "left")
    work = np.where(left == -NEVER, minutes, left)
    return TaskColumns(
        work=np.where(finished == -NEVER, work, 0),
        cure=_whole(tasks, "cure"),
        unbroken=np.array([task.unbroken for task in tasks], bool),
        started=_perhaps(tasks, "started"),
        finished=finished,
        not_before=_perhaps(tasks, "not_before"),
    )


def link_columns(links: Sequence[Link], numbers: dict[TaskId, int]) -> LinkColumns:
    """The columns of some links; raises `UnknownTask`."""
    count = len(links)
    try:
        before = np.fromiter([numbers[link.before] for link in links], np.int64, count)
        after = np.fromiter([numbers[link.after] for link in links], np.int64, count)
    except KeyError as error:
        unknown = error.args[0]
        named = next(link for link in links if unknown in (link.before, link.after))
        raise UnknownTask(unknown, str(named)) from None
    kinds = [link.kind for link in links]
    return LinkColumns(
        before=before,
        after=after,
        from_start=_among(kinds, LinkKind.SS, LinkKind.SF),
        to_finish=_among(kinds, LinkKind.FF, LinkKind.SF),
        lag=np.fromiter([link.lag for link in links], np.int64, count),
        elapsed=_among([link.lag_in for link in links], LagIn.ELAPSED),
        waits_for_cure=np.array([link.waits_for_cure for link in links], bool),
    )


def _among(values: Sequence[Enum], *chosen: Enum) -> Flags:
    """Which values are among the chosen; quick where none is."""
    flags = np.zeros(len(values), bool)
    for choice in chosen:
        if choice in values:
            flags |= np.fromiter([value is choice for value in values], bool, len(values))
    return flags


def _whole(rows: Sequence[Task], name: str) -> Ints:
    return np.fromiter(map(attrgetter(name), rows), np.int64, len(rows))


def _perhaps(tasks: Sequence[Task], name: str) -> Ints:
    values: list[int | None] = list(map(attrgetter(name), tasks))
    if values.count(None) == len(values):
        return np.full(len(values), -NEVER)
    return np.array([-NEVER if value is None else value for value in values], np.int64)
