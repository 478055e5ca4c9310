"""Serial schedule generation for the plain case, many orders of tasks at once.

Where every minute can be worked in and all capacities are constant, what is free in each period is
one packed number, and the next place of one task in each of many plans is found by a few operations
on whole arrays. The plans are the same as those of `Line`, in about a tenth of the time.
"""

from __future__ import annotations

from typing import Final, TypeAlias, TypeVar

import numpy as np
from numpy.lib.stride_tricks import as_strided
from numpy.typing import NDArray

from tasks.network.hands.ground import Ground, Side
from tasks.network.table import NEVER

__all__ = ["Orders", "Times", "Together", "plain"]

#: Rows of ranks, one row a plan.
Orders: TypeAlias = NDArray[np.int16]
#: Rows of minutes by rank, one row a plan.
Times: TypeAlias = NDArray[np.int32]

#: Longer work, and longer plans, are quicker on a `Line`.
_MOST_WORK, _MOST_PERIODS, _MOST_TASKS = 200, 12_000, 2_000
#: Periods looked at in one go: the bits of a number. Longer work than `_SHORT` has that many more.
_WINDOW: Final = 64
_SHORT: Final = 48
_ONE: Final = np.uint64(1)

#: Amounts of all resources, with a guard bit above each.
Packs = TypeVar("Packs", np.uint32, np.uint64)


def plain(ground: Ground) -> bool:
    """Whether a problem is plain, and of a size that pays."""
    side = ground.forward
    if len(side.times) != 2 or len(side.base.stretches) != 1 or side.pins:
        return False
    if not 1 < ground.count <= _MOST_TASKS or not ground.plain_order:
        return False
    if side.guard.bit_length() > 63 or max(row.work for row in side.rows) > _MOST_WORK:
        return False
    first = side.rows[0].own
    return side.shop.stretches == side.base.stretches and all(
        row.own is first
        and row.finish_floor == -NEVER
        and not any(hold.shop for hold in row.starts)
        for row in side.rows
    )


class Together:
    """One side of a plain problem.

    Parameters
    ----------
    ground, side
        The problem, and one of its two sides.
    periods
        Plans longer than this are given up.
    """

    def __init__(self, ground: Ground, side: Side, periods: int) -> None:
        rows = side.rows
        count = len(rows)
        wide = side.guard.bit_length() > 32
        self.kind: type[np.uint32 | np.uint64] = np.uint64 if wide else np.uint32
        self.work = np.array([row.work for row in rows], np.int32)
        #: What takes no time looks at one period, of which it needs nothing.
        span = np.maximum(self.work, 1)
        self.longest = int(span.max())
        self.window = _WINDOW if self.longest <= _SHORT else self.longest + _WINDOW
        self.periods = min(periods, _MOST_PERIODS) + 1
        #: Room behind the last period, so that no look reaches the next plan.
        self.length = self.periods + 2 * self.window
        self.floor = np.array(
            [
                row.lead if row.floor == -NEVER else max(row.floor - ground.now, row.lead)
                for row in rows
            ],
            np.int32,
        )
        self.free, self.guard = self.kind(side.free[0]), self.kind(side.guard)
        self.need = np.array([row.need for row in rows], self.kind)
        within = np.arange(self.longest) < self.work[:, None]
        self.taken = (within * self.need[:, None]).astype(self.kind)
        # A run of enough grows by shifts: one period and the next, then the next two, and so on.
        grown = [1 << power for power in range((self.longest - 1).bit_length())]
        if self.longest > _SHORT:
            grown = []
        self.spans = span
        self.shifts = np.array(
            [np.minimum(np.maximum(span - known, 0), known) for known in grown], np.uint64
        ).reshape(len(grown), count)
        # Who waits for fewer than the most waits for an event that has always been, the last one.
        most = max((len(row.starts) for row in rows), default=0)
        self.sources = np.full((most + 1, count), count, np.int64)
        self.waits = np.zeros((most + 1, count), np.int32)
        for rank, row in enumerate(rows):
            for at, hold in enumerate(row.starts):
                self.sources[at, rank], self.waits[at, rank] = hold.source, hold.wait
        self.waits[most] = self.floor
        if not self.waits.any():
            self.sources, self.waits = self.sources[: max(most, 1)], self.waits[:0]

    def lay(self, orders: Orders) -> Times:
        """Finishes by rank, as periods after the floor; from `periods` on where a plan is given up.

        Each order has each rank after those that it waits for.
        """
        plans, count = orders.shape
        length, guard, most = self.length, self.guard, self.periods
        free = np.full(plans * length + self.window, self.free | guard, self.kind)
        size = free.itemsize
        looks = as_strided(free, (plans * length, self.window), (size, size))
        pieces = as_strided(free, (plans * length, self.longest), (size, size))
        finishes = np.zeros(plans * (count + 1), np.int32)
        base = np.arange(plans, dtype=np.int64) * length
        offset = np.arange(plans, dtype=np.int64) * (count + 1)
        ranks = np.ascontiguousarray(orders.T)
        sources = np.ascontiguousarray(self.sources[:, ranks].swapaxes(0, 1) + offset)
        waits = np.ascontiguousarray(self.waits[:, ranks].swapaxes(0, 1))
        shifts = np.ascontiguousarray(self.shifts[:, ranks].swapaxes(0, 1))
        spans = self.spans[ranks]
        needs, works, targets = self.need[ranks], self.work[ranks], ranks + offset
        for step in range(count):
            reached = finishes[sources[step]]
            if waits.size:
                reached += waits[step]
            ready = reached.max(axis=0)
            np.minimum(ready, most, out=ready)
            need = needs[step]
            start, found = _first_fit(looks, base + ready, need, guard, spans[step], shifts[step])
            start += ready
            if not found.all():
                left = np.flatnonzero(~found)
                while left.size:
                    ready = np.minimum(start[left], most)
                    again, fits = _first_fit(
                        looks,
                        base[left] + ready,
                        need[left],
                        guard,
                        spans[step, left],
                        shifts[step][:, left],
                    )
                    start[left] = again + ready
                    left = left[~(fits | (ready >= most))]
            at = base + start
            rows = pieces[at]
            rows -= self.taken[ranks[step]]
            pieces[at] = rows
            finishes[targets[step]] = start + works[step]
        return finishes.reshape(plans, count + 1)[:, :count]


def _first_fit(
    looks: NDArray[Packs],
    places: NDArray[np.int64],
    need: NDArray[Packs],
    guard: Packs,
    spans: Times,
    shifts: NDArray[np.uint64],
) -> tuple[Times, NDArray[np.bool_]]:
    """How far on in its window each fits, and whether it does; else how far to go on."""
    look = looks[places]
    look -= need[:, None]
    look &= guard
    if look.shape[1] > _WINDOW:
        return _first_run(look == guard, spans)
    bits = np.packbits(look == guard, axis=1, bitorder="little").view(np.uint64)[:, 0]
    for shift in shifts:
        bits &= bits >> shift
    # The lowest bit, as a power of two.
    _, end = np.frexp((bits & (~bits + _ONE)).astype(np.float64))
    found = bits != 0
    end -= 1
    end[~found] = _WINDOW - _SHORT + 1
    return end, found


def _first_run(enough: NDArray[np.bool_], spans: Times) -> tuple[Times, NDArray[np.bool_]]:
    """As `_first_fit`, for work that is longer than a number has bits."""
    ruler = np.arange(1, enough.shape[1] + 1, dtype=np.int16)
    # The number of the last period up to each one in which there is not enough.
    last = np.maximum.accumulate(~enough * ruler, axis=1)
    fits = ruler - last >= spans[:, None]
    end = fits.argmax(axis=1)
    found = fits[np.arange(len(end)), end]
    return np.where(found, end + 1 - spans, last[:, -1]).astype(np.int32), found
