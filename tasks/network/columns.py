"""Tasks and links as arrays, one element a task or link, in the order in which they were given."""

from __future__ import annotations

import struct
from collections.abc import Sequence
from dataclasses import dataclass
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
    minutes = _whole([task.minutes for task in tasks])
    finished = _perhaps([task.finished for task in tasks])
    left = _perhaps([task.left for task in tasks])
    work = np.where(left == -NEVER, minutes, left)
    return TaskColumns(
        work=np.where(finished == -NEVER, work, 0),
        cure=_whole([task.cure for task in tasks]),
        unbroken=_truths([task.unbroken for task in tasks]),
        started=_perhaps([task.started for task in tasks]),
        finished=finished,
        not_before=_perhaps([task.not_before for task in tasks]),
    )


def link_columns(links: Sequence[Link], numbers: dict[TaskId, int]) -> LinkColumns:
    """The columns of some links; raises `UnknownTask`."""
    ends = [link.before for link in links], [link.after for link in links]
    before, after = _numbered(ends, numbers) or _looked_up(links, numbers)
    kinds = [link.kind for link in links]
    return LinkColumns(
        before=before,
        after=after,
        from_start=_are(kinds, LinkKind.SS, LinkKind.SF),
        to_finish=_are(kinds, LinkKind.FF, LinkKind.SF),
        lag=_whole([link.lag for link in links]),
        elapsed=_are([link.lag_in for link in links], LagIn.ELAPSED),
        waits_for_cure=_truths([link.waits_for_cure for link in links]),
    )


def _numbered(
    ends: tuple[list[TaskId], list[TaskId]], numbers: dict[TaskId, int]
) -> tuple[Ints, Ints] | None:
    """Positions of both ends by a table, where all ids are whole numbers that lie close together.

    None where they are not, or where one is unknown.
    """
    ids = _all_whole(list(numbers))
    if ids is None or not ids.size:
        return None
    least = int(ids.min())
    span = int(ids.max()) - least + 1
    if span > 4 * len(ids) + 1000:
        return None
    positions = np.full(span, -1)
    positions[ids - least] = np.arange(len(ids))
    found = []
    for values in ends:
        end = _all_whole(values)
        if end is None or not end.size or end.min() < least or end.max() >= least + span:
            return None
        at = positions[end - least]
        if at.min() < 0:
            return None
        found.append(at)
    return found[0], found[1]


def _looked_up(links: Sequence[Link], numbers: dict[TaskId, int]) -> tuple[Ints, Ints]:
    count = len(links)
    try:
        before = np.fromiter([numbers[link.before] for link in links], np.int64, count)
        after = np.fromiter([numbers[link.after] for link in links], np.int64, count)
    except KeyError as error:
        unknown = error.args[0]
        named = next(link for link in links if unknown in (link.before, link.after))
        raise UnknownTask(unknown, str(named)) from None
    return before, after


def _are(values: Sequence[object], *chosen: object) -> Flags:
    """Which values are one of the chosen objects; quick where all are the same."""
    first = values[0] if values else None
    if values.count(first) == len(values):
        return np.full(len(values), any(first is choice for choice in chosen))
    found = np.fromiter(map(id, values), np.uint64, len(values))
    return np.isin(found, np.array([id(choice) for choice in chosen], np.uint64))


def _truths(values: Sequence[bool]) -> Flags:
    """Truths; quick where all are the same."""
    if all(values) or not any(values):
        return np.full(len(values), bool(values) and bool(values[0]))
    return np.array(values, bool)


def _all_whole(values: Sequence[TaskId]) -> Ints | None:
    """Ids as an array, if all of them are whole numbers of 64 bits."""
    try:
        return _packed(values)
    except struct.error:
        return None


def _whole(values: Sequence[int]) -> Ints:
    """Minutes; quick where all are the same."""
    first = values[0] if values else 0
    if values.count(first) == len(values):
        return np.full(len(values), first, np.int64)
    return _packed(values)


def _packed(values: Sequence[object]) -> Ints:
    """Whole numbers as an array, in about a third of the time that numpy takes by itself."""
    return np.frombuffer(struct.pack(f"{len(values)}q", *values), np.int64)


def _perhaps(values: list[int | None]) -> Ints:
    if values.count(None) == len(values):
        return np.full(len(values), -NEVER)
    return np.array([-NEVER if value is None else value for value in values], np.int64)
