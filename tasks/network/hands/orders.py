"""Orders of tasks: by a priority, by the times of a plan, and what two orders make together."""

from __future__ import annotations

import heapq
from bisect import bisect_left
from collections.abc import Collection, Sequence
from random import Random

from tasks.network.hands.ground import Ground

__all__ = ["by_priority", "crossed", "drawn", "keep_waits", "moved", "nudged"]

Ranks = list[int]


def by_priority(keys: Sequence[float], waits: Sequence[Ranks], then: Sequence[Ranks]) -> Ranks:
    """Tasks by rising key, each after those that it waits for."""
    left = [len(row) for row in waits]
    ready = [(keys[rank], rank) for rank, count in enumerate(left) if not count]
    heapq.heapify(ready)
    order = []
    while ready:
        _, rank = heapq.heappop(ready)
        order.append(rank)
        for after in then[rank]:
            left[after] -= 1
            if not left[after]:
                heapq.heappush(ready, (keys[after], after))
    return order


def keep_waits(order: Ranks, waits: Sequence[Ranks], then: Sequence[Ranks]) -> Ranks:
    """The same order where it can be kept, each task after those that it waits for."""
    left = [len(row) for row in waits]
    places: dict[int, int] = {}
    kept: Ranks = []
    for place, rank in enumerate(order):
        if left[rank]:
            places[rank] = place
            continue
        # Who comes too early comes as soon as it may, of several the earlier one.
        freed = [(place, rank)]
        while freed:
            _, rank = heapq.heappop(freed)
            kept.append(rank)
            for after in then[rank]:
                left[after] -= 1
                if not left[after] and after in places:
                    heapq.heappush(freed, (places[after], after))
    return kept


def drawn(keys: Sequence[float], ground: Ground, rng: Random) -> Ranks:
    """A random order that leans towards rising keys.

    Each task is drawn among the ready ones, by the inverse of one plus its regret, after A. Drexl,
    "Scheduling of project networks by job assignment", Management Science 37, 1991.
    """
    left = [len(row) for row in ground.before]
    ready = [rank for rank, count in enumerate(left) if not count]
    order = []
    scale = (max(keys, default=0) - min(keys, default=0)) / 100 or 1
    while ready:
        least = min(keys[rank] for rank in ready)
        weights = [1 / (1 + (keys[rank] - least) / scale) for rank in ready]
        at = rng.choices(range(len(ready)), weights)[0]
        rank = ready[at]
        ready[at] = ready[-1]
        ready.pop()
        order.append(rank)
        for after in ground.after[rank]:
            left[after] -= 1
            if not left[after]:
                ready.append(after)
    return order


def crossed(one: Ranks, other: Ranks, rng: Random) -> Ranks:
    """The other's order with a middle part as the one has it.

    The two-point crossover of S. Hartmann, "A competitive genetic algorithm for
    resource-constrained project scheduling", Naval Research Logistics 45, 1998. What waits comes
    after in both, and so in the outcome.
    """
    first, last = sorted((int(rng.random() * len(one)), int(rng.random() * len(one))))
    order = other[:first]
    taken = set(order)
    middle = [rank for rank in one if rank not in taken][: last - first]
    taken.update(middle)
    order += middle
    order += [rank for rank in other if rank not in taken]
    return order


def nudged(order: Ranks, waits: Sequence[Collection[int]], share: float, rng: Random) -> Ranks:
    """The order with a share of its tasks changed places with the next, where they may."""
    random = rng.random
    order = order.copy()
    for at in range(len(order) - 1):
        if random() < share and order[at] not in waits[order[at + 1]]:
            order[at], order[at + 1] = order[at + 1], order[at]
    return order


def moved(order: Ranks, place_before: Sequence[int]) -> int:
    """How many tasks must be moved to make an earlier order into this one.

    `place_before` is each task's place in the earlier order, -1 for a new one, which does not
    count.

    >>> moved([2, 0, 1], [0, 1, 2])
    1
    """
    known = [place_before[rank] for rank in order if place_before[rank] >= 0]
    tails: list[int] = []
    for place in known:
        at = bisect_left(tails, place)
        tails[at : at + 1] = [place]
    return len(known) - len(tails)
