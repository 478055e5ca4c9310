"""The two walks of `tasks.network.passes` one task at a time, with the same result."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from tasks.network.compiled import CURED, FINISH
from tasks.network.passes import Early, Ground
from tasks.network.pulls import GroupedPulls
from tasks.network.table import NEVER, Ints, StretchTable

__all__ = ["step_backward", "step_forward"]


class _Lists(NamedTuple):
    """Pulls as lists, which are faster than arrays to read one by one."""

    source: list[int]
    wait: list[int]
    shop: list[int]
    by_shop: list[bool]
    by_clock: list[bool]
    begin: list[int]

    @classmethod
    def of(cls, pulls: GroupedPulls) -> _Lists:
        return cls(*(getattr(pulls, name).tolist() for name in cls._fields))


def step_forward(ground: Ground, floor: Ints) -> Early:
    """As `walk_forward`."""
    network, table, count = ground.network, ground.table, ground.network.count
    early = Early.blank(floor)
    moments, held = early.moments.tolist(), early.held.tolist()
    all_ready, all_resume = [0] * count, [0] * count
    starts, finishes = _Lists.of(network.to_start), _Lists.of(network.to_finish)
    source, wait, shop, by_shop, _, begin = starts
    plain, by_shop_begin = network.to_start.is_plain, network.to_start.shop_begin.tolist()
    works, cures, one_go = network.work.tolist(), network.cure.tolist(), ground.one_go.tolist()
    begun, finish_begin = network.begun.tolist(), finishes.begin
    work_from, finish_at, cured_at = table.work_from, FINISH * count, CURED * count
    for rank in range(count):
        low, high = begin[rank], begin[rank + 1]
        ready = -NEVER
        # The first two loops are the third where less lies between, in two thirds of its time.
        if plain:
            for moment in source[low:high]:
                reached = moments[moment]
                if reached > ready:
                    ready = reached
        elif by_shop_begin[rank] == by_shop_begin[rank + 1]:
            for moment, more in zip(source[low:high], wait[low:high], strict=True):
                reached = moments[moment] + more
                if reached > ready:
                    ready = reached
        else:
            for pull in range(low, high):
                reached = moments[source[pull]] + wait[pull]
                if by_shop[pull]:
                    reached = _after_shop(table, reached, shop[pull])
                if reached > ready:
                    ready = reached
        resume = finish = ready
        work = works[rank]
        is_held = finish_begin[rank] < finish_begin[rank + 1]
        if is_held or one_go[rank]:
            place = table.shop_at(ready)
            if is_held:
                held[rank] = _held(table, finishes, moments, rank)
                place = max(place, held[rank] - work)
            if one_go[rank]:
                place = table.fit_after(place, work)
            resume, finish = table.clock_at_start(place), table.clock_at_finish(place + work)
        elif work:
            resume, finish = work_from(ready, work)
        all_ready[rank], all_resume[rank] = ready, resume
        moments[rank] = resume if begun[rank] == -NEVER else begun[rank]
        moments[finish_at + rank] = finish
        moments[cured_at + rank] = finish + cures[rank]
    early.moments[:], early.resume[:], early.ready[:] = moments, all_resume, all_ready
    early.held[:] = held
    return early


def step_backward(ground: Ground, early: Early, launch: int) -> Ints:
    """As `walk_backward`."""
    network, table, count = ground.network, ground.table, ground.network.count
    late = np.concatenate((early.resume, early.block(FINISH), launch - network.cure)).tolist()
    starts, finishes = _Lists.of(network.from_start), _Lists.of(network.from_finish)
    source, wait, shop, by_shop, _, begin = finishes
    plain, by_shop_begin = network.from_finish.is_plain, network.from_finish.shop_begin.tolist()
    works, one_go = network.work.tolist(), ground.one_go.tolist()
    is_finished, start_begin = network.is_finished.tolist(), starts.begin
    work_until = table.work_until
    for rank in range(count - 1, -1, -1):
        if is_finished[rank]:
            continue
        low, high = begin[rank], begin[rank + 1]
        by = NEVER
        if plain:
            for moment in source[low:high]:
                wanted = late[moment]
                if wanted < by:
                    by = wanted
        elif by_shop_begin[rank] == by_shop_begin[rank + 1]:
            for moment, more in zip(source[low:high], wait[low:high], strict=True):
                wanted = late[moment] - more
                if wanted < by:
                    by = wanted
        else:
            for pull in range(low, high):
                wanted = late[source[pull]]
                if by_shop[pull]:
                    wanted = _before_shop(table, wanted, shop[pull])
                wanted -= wait[pull]
                if wanted < by:
                    by = wanted
        work = works[rank]
        starts_held = start_begin[rank] < start_begin[rank + 1]
        start_by = _start_by(table, starts, late, rank) if starts_held else NEVER
        if not work:
            late[rank] = late[count + rank] = min(by, start_by)
        elif starts_held or one_go[rank]:
            place = table.shop_at(by) - work
            if starts_held:
                place = min(place, table.last_start_by(start_by))
            if one_go[rank]:
                fitting = table.fit_before(place, work)
                place = place if fitting is None else fitting
            late[rank] = table.clock_at_start(place)
            late[count + rank] = table.clock_at_finish(place + work)
        else:
            late[rank], late[count + rank] = work_until(by, work)
    return np.array(late, np.int64)


def _after_shop(table: StretchTable, clock: int, shop: int) -> int:
    return table.clock_at_finish(max(table.shop_at(clock) + shop, table.first))


def _before_shop(table: StretchTable, clock: int, shop: int) -> int:
    return table.clock_at_start(max(table.shop_at(clock) - shop, table.first))


def _held(table: StretchTable, pulls: _Lists, moments: list[int], rank: int) -> int:
    """The shop minute that all holds on a finish come to."""
    held = -NEVER
    for pull in range(pulls.begin[rank], pulls.begin[rank + 1]):
        reached = moments[pulls.source[pull]] + pulls.wait[pull]
        if pulls.by_shop[pull]:
            reached = _after_shop(table, reached, pulls.shop[pull])
        by_clock = pulls.by_clock[pull]
        shop = table.first_finish_from(reached) if by_clock else table.shop_at(reached)
        held = max(held, shop)
    return held


def _start_by(table: StretchTable, pulls: _Lists, late: list[int], rank: int) -> int:
    """The clock minute by which all that hangs on a start wants it."""
    start_by = NEVER
    for pull in range(pulls.begin[rank], pulls.begin[rank + 1]):
        wanted = late[pulls.source[pull]]
        if pulls.by_shop[pull]:
            wanted = _before_shop(table, wanted, pulls.shop[pull])
        start_by = min(start_by, wanted - pulls.wait[pull])
    return start_by
