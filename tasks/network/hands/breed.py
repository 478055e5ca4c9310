"""Search for a better plan of a plain problem, a whole generation of orders at a time.

As in `tasks.network.hands.improve`, orders are crossed and their plans pushed to and fro; here all
that is done to one order is done to some hundred at once.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from tasks.network.hands.ground import Ground
from tasks.network.hands.together import Orders, Together

__all__ = ["Generations"]

#: Orders kept, and new ones in each generation.
_KEPT, _NEW = 250, 256
#: Share of tasks that change places with a neighbour in a new order.
_NUDGED = 0.06
#: Generations without anything better after which a fresh start is made.
_FRESH_AFTER: Final = 40
#: How far guesses of durations lie apart, as the deviation of their logarithm.
_SPREAD: Final = 0.6


class _Kept(NamedTuple):
    """Plans, the best first: how long each is, its orders forward and back, and a number of it."""

    lengths: NDArray[np.int64]
    forward: Orders
    back: Orders
    marks: NDArray[np.uint64]

    def at(self, rows: NDArray[np.int64]) -> _Kept:
        return _Kept(self.lengths[rows], self.forward[rows], self.back[rows], self.marks[rows])

    def beside(self, more: _Kept) -> _Kept:
        return _Kept(
            np.concatenate([self.lengths, more.lengths]),
            np.concatenate([self.forward, more.forward]),
            np.concatenate([self.back, more.back]),
            np.concatenate([self.marks, more.marks]),
        )


class Generations:
    """Plans of a plain problem, better ones as it goes on.

    Parameters
    ----------
    ground
        The problem.
    order, length
        A plan to begin with, and its length in periods.
    seed
        The same seed gives the same plans, one after another.
    least
        A length that cannot be bettered.

    Attributes: `best`, the length and the order of the best plan so far; `laid`, how many plans
    were laid out.
    """

    def __init__(
        self, ground: Ground, order: list[int], length: int, seed: int, least: int
    ) -> None:
        self.ground, self.least = ground, least
        self.best = length, order
        self.laid = 0
        self.rng = np.random.default_rng(seed)
        self.count = ground.count
        periods = length + length // 2 + 2
        self.forward = Together(ground, ground.forward, periods)
        self.backward = Together(ground, ground.backward, periods)
        self.cure = np.array(ground.cure, np.int32)
        self.waits = np.zeros((self.count, self.count), np.bool_)
        for rank, after in enumerate(ground.after):
            self.waits[rank, after] = True
        self.weights = self.rng.integers(1 << 62, size=self.count).astype(np.uint64)

    @property
    def is_over(self) -> bool:
        """Whether nothing better can be found."""
        return self.best[0] <= self.least

    def improve(self, goes_on: Callable[[int], bool]) -> None:
        """Search until told to stop, or until nothing better can be."""
        while goes_on(3 * _NEW) and not self.is_over:
            self._breed(self._first_kept(), goes_on)

    def _first_kept(self) -> _Kept:
        """Orders to begin with; the given one among them only once, or it would lead all again."""
        if self.laid:
            fresh = self._drawn(_NEW)
        else:
            given = np.array([self.best[1]], np.int16)
            fresh = np.concatenate([given, self._drawn(_NEW - 1)])
        back = _rising(-self.forward.lay(fresh)[:, ::-1])
        self.laid += len(fresh)
        return _best_of(self._justified(np.int16(self.count - 1) - back))

    def _drawn(self, count: int) -> Orders:
        """Orders by the longest tail, each by its own guesses of the durations."""
        work = np.maximum(self.forward.work, 0.01)
        guesses = work[:, None] * np.exp(self.rng.normal(0, _SPREAD, (self.count, count)))
        tails = np.zeros((self.count, count))
        for rank in range(self.count - 1, -1, -1):
            after = self.ground.after[rank]
            if after:
                tails[rank] = tails[after].max(axis=0)
            tails[rank] += guesses[rank]
        return _rising(-tails.T)

    def _justified(self, back: Orders) -> _Kept:
        """Plans by way of ones laid out backward in these orders."""
        late = self.backward.lay(back)
        # Who finishes latest in time that runs backward starts first; of equals, the lower rank.
        forward = _rising(-late)
        finishes = self.forward.lay(forward)
        self.laid += 2 * len(back)
        lengths = (finishes + self.cure).max(axis=1).astype(np.int64)
        first = int(lengths.argmin())
        if lengths[first] < self.best[0]:
            self.best = int(lengths[first]), forward[first].tolist()
        back = np.int16(self.count - 1) - _rising(-finishes[:, ::-1])
        marks = finishes.astype(np.uint64) @ self.weights
        return _Kept(lengths, forward, back, marks)

    def _breed(self, kept: _Kept, goes_on: Callable[[int], bool]) -> None:
        """Cross the kept orders until there has been nothing better for long."""
        rng, stale, best = self.rng, 0, int(kept.lengths[0])
        while stale < _FRESH_AFTER and goes_on(2 * _NEW) and not self.is_over:
            parents = rng.integers(len(kept.lengths), size=(4, _NEW))
            one, other = np.minimum(parents[0], parents[1]), np.minimum(parents[2], parents[3])
            back = self._crossed(kept.back[one], kept.back[other])
            self._nudge(back)
            new = self._justified(back)
            kept = _best_of(new.beside(kept))
            stale += 1
            if kept.lengths[0] < best:
                best, stale = int(kept.lengths[0]), 0

    def _crossed(self, one: Orders, other: Orders) -> Orders:
        """The other's orders, each with a middle part as the one has it.

        The two-point crossover of S. Hartmann, "A competitive genetic algorithm for
        resource-constrained project scheduling", Naval Research Logistics 45, 1998.
        """
        count = self.count
        first, last = np.sort(self.rng.integers(count + 1, size=(2, len(one))), axis=0)
        places = np.empty_like(other)
        np.put_along_axis(places, other.astype(np.int64), np.arange(count, dtype=np.int16), axis=1)
        there = np.take_along_axis(places, one.astype(np.int64), axis=1)
        left = there >= first[:, None]
        middle = left & (np.cumsum(left, axis=1) <= (last - first)[:, None])
        keys = np.where(left, there + 2 * count, there)
        keys = np.where(middle, count + np.arange(count), keys).astype(np.int16)
        return np.take_along_axis(one, np.argsort(keys, axis=1, kind="stable"), axis=1)

    def _nudge(self, orders: Orders) -> None:
        """Let some neighbours change places, where they may."""
        plans = np.arange(len(orders))
        times = max(round(_NUDGED * self.count), 1)
        for at in self.rng.integers(self.count - 1, size=(times, len(orders))):
            one, two = orders[plans, at], orders[plans, at + 1]
            may = ~self.waits[two, one]
            rows, at = plans[may], at[may]
            orders[rows, at], orders[rows, at + 1] = two[may], one[may]


def _rising(keys: NDArray[np.generic]) -> Orders:
    return np.argsort(keys, axis=1, kind="stable").astype(np.int16)


def _best_of(plans: _Kept) -> _Kept:
    """The shortest of all that differ; of equals the first."""
    _, single = np.unique(plans.marks, return_index=True)
    single.sort()
    order = np.argsort(plans.lengths[single], kind="stable")
    return plans.at(single[order[:_KEPT]])
