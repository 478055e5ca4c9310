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

import numpy as np

from tasks.network.hands.ground import Hold, Row, Side, TooShort
from tasks.network.hands.space import OneGo, Paused
from tasks.network.table import NEVER, Ints, StretchTable
from tasks.network.week import Stretch

__all__ = ["Laid", "Line", "without_limits"]


class Laid(NamedTuple):
    """A plan by rank: clock minutes, and how many pins were missed."""

    starts: list[int]
    finishes: list[int]
    late: int


class _GivesBack(Exception):
    """A pinned task comes too late for the place kept for it."""


class _Known(NamedTuple):
    """What is to know of one task while it is laid out, in base minutes where nothing else is said.

    Attributes
    ----------
    after
        Ranks whose finish it waits for.
    shifted
        (rank, from its start, minutes) of other events that it waits for.
    waits
        What it waits for by the clock.
    finishes, finish_floor
        What holds its finish; the floor in own minutes.
    work, need
        Minutes, packed demand.
    first, last
        Where its own hours begin and end, if they have no gaps and it may pause; else None and 0.
    is_clocked
        Whether the clock minutes of its start or finish are asked for.
    """

    after: tuple[int, ...]
    shifted: tuple[tuple[int, bool, int], ...]
    waits: tuple[Hold, ...]
    finishes: tuple[Hold, ...]
    finish_floor: int
    work: int
    need: int
    first: int | None
    last: int
    is_clocked: bool


class Line:
    """One side of time, on which orders of tasks are laid out.

    Parameters
    ----------
    side
        The tasks and hours.
    limited
        Whether there is a limit to anything but time.

    Notes
    -----
    Events are kept in base minutes, and turned to the clock only where something waits by it. What
    has room for no task at all is made one with its neighbours, so that full months are one step.
    """

    def __init__(self, side: Side, *, limited: bool = True) -> None:
        self.side = side
        rows = side.rows
        needs = [row.need if limited and row.work else 0 for row in rows]
        in_shop = side.shop.stretches == side.base.stretches
        clocked = _clocked(side, in_shop)
        self._known = [
            _known(row, need, rank in clocked, in_shop)
            for rank, (row, need) in enumerate(zip(rows, needs, strict=True))
        ]
        self._least = _least(side.guard, needs)
        self._spaces = _spaces(side)
        self._points_at = np.array([r for r, row in enumerate(rows) if not row.work], np.int64)
        self._floor = np.array([row.floor for row in rows], np.int64)
        self._lead = np.array([row.lead for row in rows], np.int64)
        self._floors: tuple[int, list[int], list[int]] = (0, [], [])
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
        try:
            return self._lay(order, floor, self._least)
        except _GivesBack:
            return self._lay(order, floor, 0)

    def _lay(self, order: Sequence[int], floor: int, least: int) -> Laid:
        """As `lay`; raises `_GivesBack` if a pinned task is to do so and `least` is in the way.

        Where there is less left than `least`, nothing is left; it is what any task wants.
        """
        side, known, base = self.side, self._known, self.side.base
        guard = side.guard
        times, free = side.times.copy(), side.free.copy()
        count = len(known)
        # Base minutes, and clock minutes of those that are asked for.
        begins, ends = [0] * count, [0] * count
        starts, finishes = [0] * count, [0] * count
        late, pinned = self._late, self._pinned
        for rank, begin in pinned.items():
            self._take(times, free, rank, begin, known[rank].need, least)
        clock_floors, floors = self._floors_from(floor)
        for rank in order:
            (
                after,
                shifted,
                waits,
                finish_holds,
                finish_floor,
                work,
                need,
                first_minute,
                last_minute,
                is_clocked,
            ) = known[rank]
            if not work:
                clock = self._point(rank, clock_floors[rank], starts, finishes)
                late += rank in self._points and clock > self._points[rank]
                starts[rank] = finishes[rank] = clock
                begins[rank] = ends[rank] = base.shop_at(clock)
                continue
            ready = floors[rank]
            for source in after:
                if ends[source] > ready:
                    ready = ends[source]
            for source, from_start, lag in shifted:
                reached = (begins if from_start else ends)[source] + lag
                if reached > ready:
                    ready = reached
            if waits:
                reached = base.shop_at(_reached(waits, side.shop, starts, finishes))
                if reached > ready:
                    ready = reached
            if finish_holds or finish_floor > 0:
                own = side.rows[rank].own
                held = _held(finish_holds, own.table, side.shop, starts, finishes)
                held = max(held, finish_floor) - work
                if held > own.base.shop_at(ready):
                    ready = own.base.clock_at_start(held)
            if rank in pinned:
                if ready <= pinned[rank]:
                    begin = pinned[rank]
                    begins[rank] = begin
                    ends[rank] = finish = self._spaces[rank].end(begin, work)
                    starts[rank] = base.clock_at_start(begin)
                    finishes[rank] = base.clock_at_finish(finish)
                    continue
                if least:
                    raise _GivesBack
                late += 1
                self._take(times, free, rank, pinned[rank], -need, 0)
            if first_minute is None:
                begin = self._spaces[rank].fit(times, free, guard, ready, work, need)
                if begin >= NEVER:
                    raise TooShort(rank)
                finish = self._take(times, free, rank, begin, need, least)
            else:
                begin = first_minute if first_minute > ready else ready
                finish = begin + work
                if need:
                    at = first = bisect_right(times, begin) - 1
                    while times[at] < finish:
                        if (free[at] - need) & guard != guard:
                            at += 1
                            first, begin = at, times[at]
                            finish = begin + work
                            if finish > last_minute:
                                break
                        else:
                            at += 1
                if finish > last_minute:
                    raise TooShort(rank)
                if need:
                    _subtract(times, free, first, at, begin, finish, need, least, guard)
            begins[rank], ends[rank] = begin, finish
            if is_clocked:
                starts[rank] = base.clock_at_start(begin)
                finishes[rank] = base.clock_at_finish(finish)
        return self._laid(begins, ends, starts, late)

    def _laid(self, begins: list[int], ends: list[int], points: list[int], late: int) -> Laid:
        """All events by the clock."""
        base = self.side.base
        starts = base.clock_at_start_each(np.array(begins, np.int64))
        finishes = base.clock_at_finish_each(np.array(ends, np.int64))
        if self._points_at.size:
            at = self._points_at
            starts[at] = finishes[at] = [points[rank] for rank in at.tolist()]
        return Laid(starts.tolist(), finishes.tolist(), late)

    def _floors_from(self, floor: int) -> tuple[list[int], list[int]]:
        """Minutes before which no task starts, by the clock and in base minutes."""
        if not self._floors[1] or self._floors[0] != floor:
            clock: Ints = np.maximum(self._floor, floor + self._lead)
            self._floors = floor, clock.tolist(), self.side.base.shop_at_each(clock).tolist()
        return self._floors[1:]

    def _point(self, rank: int, clock: int, starts: list[int], finishes: list[int]) -> int:
        """The clock minute of a task that takes no time."""
        side = self.side
        clock = max(clock, _reached(side.rows[rank].starts, side.shop, starts, finishes))
        if clock >= side.end:
            raise TooShort(rank)
        return max(clock, self._points.get(rank, clock))

    def _take(
        self, times: list[int], free: list[int], rank: int, begin: int, need: int, least: int
    ) -> int:
        """Take a demand from all own minutes of a piece of work; a negative one gives it back."""
        guard, finish = self.side.guard, begin
        for start, finish in self._spaces[rank].pieces(begin, self._known[rank].work):
            if need:
                first, last = bisect_right(times, start) - 1, bisect_left(times, finish)
                _subtract(times, free, first, last, start, finish, need, least, guard)
        return finish

    def _pin(self) -> dict[int, int]:
        """Base minutes of pinned tasks, one after another as their pins follow in time."""
        side = self.side
        times, free = side.times.copy(), side.free.copy()
        places = {}
        for clock, rank in side.pins:
            known = self._known[rank]
            if not known.work:
                self._points[rank] = clock
                continue
            ready = side.base.shop_at(max(clock, side.rows[rank].floor))
            begin = self._spaces[rank].fit(times, free, side.guard, ready, known.work, known.need)
            if begin >= NEVER:
                raise TooShort(rank)
            self._take(times, free, rank, begin, known.need, 0)
            self._late += side.base.clock_at_start(begin) != clock
            places[rank] = begin
        return places


def without_limits(side: Side, order: Sequence[int], floor: int = -NEVER) -> Laid:
    """The plan if there were enough of everything, pins not counted."""
    return Line(replace(side, pins=[]), limited=False).lay(order, floor)


def _known(row: Row, need: int, is_clocked: bool, in_shop: bool) -> _Known:
    """Holds sorted by how they are looked up; `in_shop` if base minutes are the shop's."""
    after, shifted, waits = [], [], []
    for hold in row.starts:
        if hold.wait or hold.rest or (hold.shop and not in_shop):
            waits.append(hold)
        elif hold.shop or hold.from_start:
            shifted.append((hold.source, hold.from_start, hold.shop))
        else:
            after.append(hold.source)
    pieces = row.own.base.stretches
    is_whole = len(pieces) == 1 and not row.one_go
    return _Known(
        tuple(after),
        tuple(shifted),
        tuple(waits),
        row.finishes,
        row.finish_floor,
        row.work,
        need,
        pieces[0][0] if is_whole else None,
        pieces[0][1] if is_whole else 0,
        is_clocked,
    )


def _spaces(side: Side) -> list[OneGo | Paused]:
    """Where each task may lie, made once for all that keep the same hours."""
    at = side.base.shop_at
    paused: dict[int, Paused] = {}
    stretches: dict[int, list[Stretch]] = {}
    spaces: list[OneGo | Paused] = []
    for row in side.rows:
        own, key = row.own, id(row.own)
        if row.one_go:
            if key not in stretches:
                stretches[key] = [(at(start), at(end)) for start, end in own.table.stretches]
            spaces.append(OneGo(stretches[key], row.work))
        else:
            if key not in paused:
                paused[key] = Paused(own.base.stretches)
            spaces.append(paused[key])
    return spaces


def _clocked(side: Side, in_shop: bool) -> set[int]:
    """Ranks whose events something looks up by the clock."""
    ranks = set()
    for row in side.rows:
        for hold in row.starts:
            if hold.wait or hold.rest or not row.work or (hold.shop and not in_shop):
                ranks.add(hold.source)
        ranks.update(hold.source for hold in row.finishes)
    return ranks


def _least(guard: int, needs: Sequence[int]) -> int:
    """What every demand has at least, of each thing, packed as they are."""
    needs = [need for need in needs if need]
    least, low = 0, 0
    for high in range(guard.bit_length() if needs else 0):
        if guard >> high & 1:
            field = (1 << high) - (1 << low)
            least |= min(need & field for need in needs)
            low = high + 1
    return least


def _subtract(
    times: list[int],
    free: list[int],
    first: int,
    last: int,
    begin: int,
    finish: int,
    need: int,
    least: int,
    guard: int,
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
        left = free[at] - need
        free[at] = left if (left - least) & guard == guard else guard
    # Equal neighbours are made one.
    for at in range(last, max(first, 1) - 1, -1):
        if free[at - 1] == free[at]:
            del times[at], free[at]


def _reached(
    holds: Sequence[Hold], shop: StretchTable, starts: Sequence[int], finishes: Sequence[int]
) -> int:
    """The clock minute by which all that is waited for has come."""
    latest = -NEVER
    for source, from_start, wait, lag, _, rest in holds:
        reached = (starts[source] if from_start else finishes[source]) + wait
        if lag:
            reached = shop.clock_at_finish(max(shop.shop_at(reached) + lag, shop.first)) + rest
        if reached > latest:
            latest = reached
    return latest


def _held(
    holds: Sequence[Hold],
    own: StretchTable,
    shop: StretchTable,
    starts: Sequence[int],
    finishes: Sequence[int],
) -> int:
    """The own minute before which a task cannot finish."""
    held = -NEVER
    for hold in holds:
        clock = _reached((hold,), shop, starts, finishes)
        held = max(held, own.first_finish_from(clock) if hold.by_clock else own.shop_at(clock))
    return held
