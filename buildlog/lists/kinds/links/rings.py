"""Which of many new links would close a ring. Framework-free."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence

__all__ = ["closing"]

Pair = tuple[str, str]


def closing(kept: Sequence[Pair], new: Sequence[Pair]) -> dict[int, list[str]]:
    """The new links that close a ring, each with its path.

    Parameters
    ----------
    kept
        The links there are, as (before, after), without a ring.
    new
        The links to be added, one after the other. One that closes a ring is left out, and the
        next are held against the rest.

    Returns
    -------
    dict
        Place in `new` to the shortest ring it closes: from its task after to its task before.

    Examples
    --------
    >>> closing([("3", "4")], [("4", "5"), ("5", "10"), ("10", "3"), ("9", "10")])
    {2: ['3', '4', '5', '10']}

    Notes
    -----
    Only links among tasks that lie on some ring need to be walked, so a list without a ring costs
    one pass over it.
    """
    core = _on_rings([*kept, *new])
    if not core:
        return {}
    successors: dict[str, list[str]] = {name: [] for name in core}
    for before, after in kept:
        if before in core and after in core:
            successors[before].append(after)
    found = {}
    for place, (before, after) in enumerate(new):
        if before not in core or after not in core:
            continue
        path = _path(successors, after, before)
        if path:
            found[place] = path
        else:
            successors[before].append(after)
    return found


def _on_rings(links: Sequence[Pair]) -> set[str]:
    """What is left when tasks nobody waits for, and tasks that wait for nobody, are taken off."""
    left = {name for link in links for name in link}
    for forward in (True, False):
        waits: dict[str, int] = dict.fromkeys(left, 0)
        successors: dict[str, list[str]] = {name: [] for name in left}
        for before, after in links:
            if before in left and after in left:
                one, other = (before, after) if forward else (after, before)
                waits[other] += 1
                successors[one].append(other)
        free = [name for name, count in waits.items() if not count]
        for name in free:
            left.discard(name)
            for other in successors[name]:
                waits[other] -= 1
                if not waits[other]:
                    free.append(other)
    return left


def _path(successors: dict[str, list[str]], start: str, end: str) -> list[str]:
    came_from: dict[str, str] = {start: ""}
    waiting = deque([start])
    while waiting:
        name = waiting.popleft()
        if name == end:
            path = [name]
            while came_from[path[-1]]:
                path.append(came_from[path[-1]])
            return path[::-1]
        for other in successors[name]:
            if other not in came_from:
                came_from[other] = name
                waiting.append(other)
    return []
