"""Order and cycles in what must come before what, whatever the minutes."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Sequence
from itertools import accumulate, pairwise

import numpy as np

from tasks.network.exceptions import Cycle
from tasks.network.table import Ints
from tasks.network.values import Link, TaskId

__all__ = ["find_cycle", "rank_tasks", "stable_order", "would_close"]

#: From how many tasks on, and how many a level, working by arrays is faster than one by one.
_MANY, _WIDE = 500, 24


def find_cycle(links: Iterable[Link]) -> list[TaskId] | None:
    """A ring of tasks that wait for each other.

    Returns
    -------
    list or None
        The ids along one ring, beginning with the one that the links name first, and that one
        again at the end; None if there is no ring.

    Examples
    --------
    >>> find_cycle([Link("a", "b"), Link("b", "c"), Link("c", "a"), Link("c", "d")])
    ['a', 'b', 'c', 'a']
    >>> find_cycle([Link("a", "b")]) is None
    True

    Notes
    -----
    Time grows with the number of links.
    """
    numbers: dict[TaskId, int] = {}
    pairs = [
        (
            numbers.setdefault(link.before, len(numbers)),
            numbers.setdefault(link.after, len(numbers)),
        )
        for link in links
    ]
    successors: list[list[int]] = [[] for _ in numbers]
    for before, after in pairs:
        successors[before].append(after)
    ids = list(numbers)
    order = _topological_order(successors)
    if len(order) == len(ids):
        return None
    return [ids[number] for number in _ring(successors, set(range(len(ids))).difference(order))]


def would_close(links: Iterable[Link], new: Link) -> list[TaskId] | None:
    """The ring that a new link would close, to refuse it at the door.

    Parameters
    ----------
    links
        The links there are, without a ring.
    new
        The link to be added.

    Returns
    -------
    list or None
        The ids along the shortest ring, from the task after to the task before and to the task
        after again; None if the new link closes none.

    Examples
    --------
    >>> would_close([Link(3, 4), Link(4, 5), Link(5, 10)], Link(10, 3))
    [3, 4, 5, 10, 3]
    >>> would_close([Link(3, 4)], Link(3, 5)) is None
    True

    Notes
    -----
    Time grows with the number of links.
    """
    successors: dict[TaskId, list[TaskId]] = {}
    for link in links:
        successors.setdefault(link.before, []).append(link.after)
    came_from: dict[TaskId, TaskId] = {}
    waiting = deque([new.after])
    while waiting:
        task = waiting.popleft()
        if task == new.before:
            path = [task]
            while path[-1] != new.after:
                path.append(came_from[path[-1]])
            return [*reversed(path), new.after]
        for successor in successors.get(task, ()):
            if successor not in came_from and successor != new.after:
                came_from[successor] = task
                waiting.append(successor)
    return None


def rank_tasks(ids: Sequence[TaskId], before: Ints, after: Ints) -> tuple[Ints, list[int] | None]:
    """Put tasks after all that they wait for.

    Parameters
    ----------
    ids
        The tasks.
    before, after
        The ends of each link, as positions in `ids`.

    Returns
    -------
    order
        Positions in `ids`, ranked.
    levels
        The ranks at which runs begin of tasks that do not wait for each other, with the number of
        tasks at the end; None where the runs are short, so that arrays do not pay.

    Raises
    ------
    Cycle
        If there is no such order.
    """
    count = len(ids)
    # The tasks after each task, one after another, and where those of each begin.
    heads = after[stable_order(before, count)]
    begin = np.zeros(count + 1, np.int64)
    np.cumsum(np.bincount(before, minlength=count), out=begin[1:])
    waits_for = np.bincount(after, minlength=count)
    levels = _levels(heads, begin, waits_for.copy()) if count >= _MANY else None
    if levels is not None:
        order = np.concatenate(levels)
        bounds = [0, *accumulate(len(level) for level in levels)]
        if len(order) == count:
            return order, bounds
    ranked = _one_by_one(heads.tolist(), begin.tolist(), waits_for.tolist())
    if len(ranked) < count:
        ends = begin.tolist()
        successors = [heads[low:high].tolist() for low, high in pairwise(ends)]
        ring = _ring(successors, set(range(count)).difference(ranked))
        raise Cycle([ids[number] for number in ring])
    return np.array(ranked, np.int64), None


def _levels(heads: Ints, begin: Ints, waits_for: Ints) -> list[Ints] | None:
    """Runs of tasks all of whose predecessors lie in earlier runs; None once they prove short.

    Tasks on or behind a ring are in none. `waits_for` is counted down.
    """
    fan_out = np.diff(begin)
    level = np.flatnonzero(waits_for == 0)
    levels, done = [], 0
    while level.size:
        levels.append(level)
        done += level.size
        if len(levels) > 30 and done < _WIDE * len(levels):
            return None
        fan = fan_out[level]
        # Positions of the links that leave this level: a ramp for each task, one after another.
        ramps = np.repeat(begin[level] - np.cumsum(fan) + fan, fan) + np.arange(fan.sum())
        reached = heads[ramps]
        np.subtract.at(waits_for, reached, 1)
        free = np.sort(reached[waits_for[reached] == 0])
        level = free[np.flatnonzero(np.diff(free, prepend=-1))]  # each once
    return levels


def stable_order(values: Ints, limit: int) -> Ints:
    """Positions that sort whole numbers from 0 up to `limit`; equal ones stay as they were."""
    # 16-bit keys are sorted by radix, several times as fast.
    keys = values.astype(np.uint16) if limit <= 2**16 else values
    return np.argsort(keys, kind="stable")


def _topological_order(successors: Sequence[Sequence[int]]) -> list[int]:
    """Task numbers with every task after all that it waits for; short where there is a ring."""
    waits_for = [0] * len(successors)
    for row in successors:
        for after in row:
            waits_for[after] += 1
    heads = [after for row in successors for after in row]
    return _one_by_one(heads, [0, *accumulate(map(len, successors))], waits_for)


def _one_by_one(heads: list[int], begin: list[int], waits_for: list[int]) -> list[int]:
    """The order of `_topological_order` from the tasks after each; `waits_for` is counted down."""
    order = [number for number, count in enumerate(waits_for) if not count]
    for number in order:
        for after in heads[begin[number] : begin[number + 1]]:
            left = waits_for[after] - 1
            waits_for[after] = left
            if not left:
                order.append(after)
    return order


def _ring(successors: Sequence[Sequence[int]], left: set[int]) -> list[int]:
    """A ring among the tasks that a topological order leaves out, from its least number on."""
    predecessors: dict[int, int] = {}
    for number in sorted(left, reverse=True):
        for after in successors[number]:
            predecessors[after] = number
    # Each of these tasks waits for another of them, so walking back must come round.
    walked: dict[int, int] = {}
    number = min(left)
    while number not in walked:
        walked[number] = len(walked)
        number = predecessors[number]
    ring = list(walked)[walked[number] :][::-1]
    least = ring.index(min(ring))
    return [*ring[least:], *ring[:least], ring[least]]
