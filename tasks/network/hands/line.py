"""Serial schedule generation: tasks in a given order, each at the first place that keeps the rules.

The method is that of J. E. Kelley, "The critical-path method: resources planning and scheduling",
in J. F. Muth and G. L. Thompson (eds.), Industrial Scheduling, 1963. Every order of the tasks gives
a plan, and with resources that are always there some order gives the shortest one.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from tasks.network.hands.ground import Hold, Own, Side, TooShort
from tasks.network.table import NEVER, StretchTable

__all__ = ["Laid", "Line", "without_limits"]


class Laid(NamedTuple):
    """A plan by rank: clock minutes, and how many pins were missed."""

    starts: list[int]
    finishes: list[int]
    late: int


class Line:
    """One side of time, on which orders of tasks are laid out.

    Parameters
    ----------
    side
        The tasks and hours.
    limited
        Whether there is a limit to anything but time.
    """

    def __init__(self, side: Side, *, limited: bool = True) -> None:
        self.side = side
        self.needs = [row.need if limited else 0 for row in side.rows]
        self._known = [
            (
                row.starts,
                row.finishes,
                row.floor,
                row.finish_floor,
                row.lead,
                row.work,
                row.own,
                row.one_go,
            )
            for row in side.rows
        ]
        self._late = 0
        self._points: dict[int, int] = {}
        self._pinned = self._pin() if side.pins else {}

    def lay(self, order: Sequence[int], floor: int = -NEVER) -> Laid:
        """Place tasks, given by rank, each after all that hold it.

        Raises
        ------
        TooShort
            If the days laid out are not enough.
        """
        side, rows, needs, known = self.side, self.side.rows, self.needs, self._known
        shop, end, guard = side.shop, side.end, side.guard
        times, free = side.times.copy(), side.free.copy()
        starts, finishes = [0] * len(rows), [0] * len(rows)
        late = self._late
        pinned = self._pinned
        for rank, place in pinned.items():
            self._take(times, free, rows[rank].own, place, rows[rank].work, needs[rank])
        for rank in order:
            holds, finish_holds, lowest, finish_floor, lead, work, own, one_go = known[rank]
            ready = floor + lead
            if lowest > ready:
                ready = lowest
            for source, from_start, wait, lag, _ in holds:
                reached = (starts[source] if from_start else finishes[source]) + wait
                if lag:
                    reached = _after_shop(shop, reached, lag)
                if reached > ready:
                    ready = reached
            if ready >= end:
                raise TooShort(rank)
            if not work:
                if pinned and rank in self._points:
                    late += ready > self._points[rank]
                    ready = max(ready, self._points[rank])
                starts[rank] = finishes[rank] = ready
                continue
            table, need = own.table, needs[rank]
            place = table.shop_at(ready)
            if finish_holds or finish_floor > place + work:
                held = _held(finish_holds, table, shop, starts, finishes)
                place = max(place, held - work, finish_floor - work)
            if rank in pinned:
                if place <= pinned[rank]:
                    place = pinned[rank]
                    starts[rank] = table.clock_at_start(place)
                    finishes[rank] = table.clock_at_finish(place + work)
                    continue
                late += 1
                self._take(times, free, own, pinned[rank], work, -need)
            shift = own.shift
            if shift is None or one_go:
                place = self._fit(times, free, rank, place)
                if need:
                    self._take(times, free, own, place, work, need)
            elif not need:
                if place + work > table.last:
                    raise TooShort(rank)
            else:
                begin = place + shift
                finish, limit = begin + work, table.last + shift
                at = first = bisect_right(times, begin) - 1
                while times[at] < finish:
                    if (free[at] - need) & guard != guard:
                        at += 1
                        first, begin = at, times[at]
                        finish = begin + work
                        if finish > limit:
                            break
                    else:
                        at += 1
                if finish > limit:
                    raise TooShort(rank)
                place = begin - shift
                _subtract(times, free, first, at, begin, finish, need)
            starts[rank] = table.clock_at_start(place)
            finishes[rank] = table.clock_at_finish(place + work)
        return Laid(starts, finishes, late)

    def _fit(self, times: list[int], free: list[int], rank: int, place: int) -> int:
        """The first own minute, not before `place`, at which a task finds enough throughout."""
        row, need, guard = self.side.rows[rank], self.needs[rank], self.side.guard
        own, work = row.own, row.work
        while True:
            if row.one_go:
                place = own.table.fit_after(place, work)
            if place + work > own.table.last:
                raise TooShort(rank)
            if not need:
                return place
            begin, finish = own.base.clock_at_start(place), own.base.clock_at_finish(place + work)
            at = bisect_right(times, begin) - 1
            after = place
            while times[at] < finish:
                if (free[at] - need) & guard != guard:
                    # What is wanted in a pause is no matter.
                    low = own.base.shop_at(max(times[at], begin))
                    high = own.base.shop_at(min(times[at + 1], finish))
                    if low < high:
                        after = own.base.shop_at(times[at + 1])
                at += 1
            if after == place:
                return place
            place = after

    def _take(
        self, times: list[int], free: list[int], own: Own, place: int, work: int, need: int
    ) -> None:
        """Take a demand from all own minutes of a piece of work; a negative one gives it back."""
        pieces = own.base.stretches
        begin = own.base.clock_at_start(place)
        at = bisect_right(pieces, (begin, 2 * NEVER)) - 1
        while work > 0:
            start, end = pieces[at]
            begin = max(begin, start)
            finish = min(end, begin + work)
            first, last = bisect_right(times, begin) - 1, bisect_left(times, finish)
            _subtract(times, free, first, last, begin, finish, need)
            work -= finish - begin
            at += 1

    def _pin(self) -> dict[int, int]:
        """Own minutes of pinned tasks, one after another as their pins follow in time."""
        times, free = self.side.times.copy(), self.side.free.copy()
        places = {}
        for clock, rank in self.side.pins:
            row = self.side.rows[rank]
            if not row.work:
                self._points[rank] = clock
                continue
            wanted = row.own.table.shop_at(max(clock, row.floor))
            place = self._fit(times, free, rank, wanted)
            self._take(times, free, row.own, place, row.work, self.needs[rank])
            self._late += row.own.table.clock_at_start(place) != clock
            places[rank] = place
        return places


def without_limits(side: Side, order: Sequence[int], floor: int = -NEVER) -> Laid:
    """The plan if there were enough of everything, pins not counted."""
    return Line(replace(side, pins=[]), limited=False).lay(order, floor)


def _subtract(
    times: list[int], free: list[int], first: int, last: int, begin: int, finish: int, need: int
) -> None:
    """Take a demand away from `begin` to `finish`, which lie in entries `first` up to `last`."""
    if times[last] != finish:
        times.insert(last, finish)
        free.insert(last, free[last - 1])
    if times[first] != begin:
        first += 1
        last += 1
        times.insert(first, begin)
        free.insert(first, free[first - 1])
    for at in range(first, last):
        free[at] -= need
    # Equal neighbours are made one, so that a full stretch of months is one step.
    if free[last - 1] == free[last]:
        del times[last], free[last]
    if first and free[first - 1] == free[first]:
        del times[first], free[first]


def _after_shop(shop: StretchTable, clock: int, minutes: int) -> int:
    return shop.clock_at_finish(max(shop.shop_at(clock) + minutes, shop.first))


def _held(
    holds: Sequence[Hold],
    own: StretchTable,
    shop: StretchTable,
    starts: Sequence[int],
    finishes: Sequence[int],
) -> int:
    """The own minute before which a task cannot finish."""
    held = -NEVER
    for source, from_start, wait, lag, by_clock in holds:
        reached = (starts[source] if from_start else finishes[source]) + wait
        if lag:
            reached = _after_shop(shop, reached, lag)
        held = max(held, own.first_finish_from(reached) if by_clock else own.shop_at(reached))
    return held
