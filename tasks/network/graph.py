"""Order and cycles in what must come before what, whatever the minutes."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Sequence

from tasks.network.exceptions import Cycle
from tasks.network.values import Link, TaskId

__all__ = ["find_cycle", "would_close"]


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
    order = topological_order(successors)
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


def topological_order(successors: Sequence[Sequence[int]]) -> list[int]:
    """Task numbers with every task after all that it waits for; short where there is a ring."""
    waits_for = [0] * len(successors)
    for row in successors:
        for after in row:
            waits_for[after] += 1
    order = [number for number, count in enumerate(waits_for) if not count]
    for number in order:
        for after in successors[number]:
            waits_for[after] -= 1
            if not waits_for[after]:
                order.append(after)
    return order


def refuse_cycle(
    ids: Sequence[TaskId], successors: Sequence[Sequence[int]], order: Sequence[int]
) -> None:
    """Raise `Cycle` with the path of a ring, if `order` leaves some task out."""
    if len(order) < len(ids):
        ring = _ring(successors, set(range(len(ids))).difference(order))
        raise Cycle([ids[number] for number in ring])


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
