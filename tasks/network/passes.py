"""The two walks through a network: as early as possible, and as late as the launch allows.

What must be waited for is carried as a clock minute, since elapsed time may end while the shop is
closed; work is placed by shop minute. The walks mirror each other: what `latest` allows a task is
the last moment from which the forward walk would still keep its successors to given dates.

Tasks that do not wait for each other are walked together, by arrays. `tasks.network.steps` does the
same one by one, for networks that are small, or so deep that there are few such tasks.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from tasks.network.columns import Flags
from tasks.network.compiled import CURED, FINISH, FLOOR, Compiled
from tasks.network.table import NEVER, Ints, StretchTable

__all__ = ["Early", "Ground", "latest", "walk_backward", "walk_forward"]


@dataclass(frozen=True, slots=True)
class Ground:
    """What both walks stand on: a network, its shop hours, and which tasks must not pause."""

    network: Compiled
    table: StretchTable
    one_go: Flags


@dataclass(frozen=True, slots=True)
class Early:
    """Early dates by rank.

    Attributes
    ----------
    moments
        Clock minutes of all starts, then all finishes, all ends of cure, and all floors: what today
        and `not_before` alone would allow.
    resume
        Clock minute at which what is left of the work begins.
    ready
        Clock minute that the floor and all holds on the start come to.
    held
        Shop minute that all holds on the finish come to; -NEVER without any.
    """

    moments: Ints
    resume: Ints
    ready: Ints
    held: Ints

    @classmethod
    def blank(cls, floor: Ints) -> Early:
        count = len(floor)
        early = cls(
            moments=np.empty(4 * count, np.int64),
            resume=np.empty(count, np.int64),
            ready=np.empty(count, np.int64),
            held=np.full(count, -NEVER),
        )
        early.block(FLOOR)[:] = floor
        return early

    def block(self, event: int) -> Ints:
        """A view of one kind of moments."""
        count = len(self.resume)
        return self.moments[event * count : (event + 1) * count]


def walk_forward(ground: Ground, floor: Ints, levels: list[int]) -> Early:
    """The early dates of every task; those that the table is too short for are `NEVER` or later."""
    early = Early.blank(floor)
    for first, last in pairwise(levels):
        _place_early(ground, early, first, last)
    return early


def _place_early(ground: Ground, early: Early, first: int, last: int) -> None:
    """Enter the early dates of ranks `first` up to `last`, those of lower ranks being there."""
    network, table, here = ground.network, ground.table, slice(first, last)
    pulls = network.to_start
    ready = np.maximum.reduceat(
        pulls.forward(early.moments, first, last, table), pulls.begin[here] - pulls.begin[first]
    )
    work = network.work[here]
    resume, finish = table.work_from_each(ready, work)
    is_held = network.to_finish.begin[first] < network.to_finish.begin[last]
    in_one_go = np.flatnonzero(ground.one_go[here])
    if is_held or in_one_go.size:
        place = table.shop_at_each(resume)
        if is_held:
            _hold_finishes(ground, early, first, last)
            place = np.maximum(place, early.held[here] - work)
        for n in in_one_go.tolist():
            place[n] = table.fit_after(int(place[n]), int(work[n]))
        resume, finish = table.clock_at_start_each(place), table.clock_at_finish_each(place + work)
    if network.has_points:
        is_point = network.is_point[here]
        np.copyto(resume, ready, where=is_point)
        np.copyto(finish, ready, where=is_point)
    early.ready[here], early.resume[here], early.moments[here] = ready, resume, resume
    if network.has_begun:
        begun = network.begun[here]
        np.copyto(early.moments[here], begun, where=begun > -NEVER)
    early.block(FINISH)[here] = finish
    early.block(CURED)[here] = finish + network.cure[here]


def _hold_finishes(ground: Ground, early: Early, first: int, last: int) -> None:
    pulls, table = ground.network.to_finish, ground.table
    here = slice(pulls.begin[first], pulls.begin[last])
    reached = pulls.forward(early.moments, first, last, table)
    shop = np.where(
        pulls.by_clock[here], table.first_finish_from_each(reached), table.shop_at_each(reached)
    )
    np.maximum.at(early.held, pulls.target[here], shop)


def walk_backward(ground: Ground, early: Early, launch: int, levels: list[int]) -> Ints:
    """Late dates: the clock minutes of all resumes, then all finishes, then a block of use here."""
    network, count = ground.network, ground.network.count
    late = np.concatenate((early.resume, early.block(FINISH), launch - network.cure))
    for last, first in pairwise(reversed(levels)):
        resume, finish = latest(ground, late, first, last)
        moves = ~network.is_finished[first:last]
        np.copyto(late[first:last], resume, where=moves)
        np.copyto(late[count + first : count + last], finish, where=moves)
    return late


def latest(ground: Ground, late: Ints, first: int, last: int) -> tuple[Ints, Ints]:
    """The latest resume and finish of ranks `first` up to `last` that keep their successors' dates.

    The dates to keep are in `late`, laid out as `walk_backward` returns them. What comes out for
    finished tasks means nothing.
    """
    network, table, here = ground.network, ground.table, slice(first, last)
    pulls = network.from_finish
    by = np.minimum.reduceat(
        pulls.backward(late, first, last, table), pulls.begin[here] - pulls.begin[first]
    )
    work = network.work[here]
    resume, finish = table.work_until_each(by, work)
    pulls = network.from_start
    is_held = pulls.begin[first] < pulls.begin[last]
    in_one_go = np.flatnonzero(ground.one_go[here])
    if is_held or in_one_go.size:
        place = table.shop_at_each(finish) - work
        if is_held:
            start_by = np.full(last - first, NEVER)
            target = pulls.target[pulls.begin[first] : pulls.begin[last]] - first
            np.minimum.at(start_by, target, pulls.backward(late, first, last, table))
            place = np.minimum(place, table.last_start_by_each(start_by))
            by = np.minimum(by, start_by)
        for n in in_one_go.tolist():
            # There is a place: the early dates fit, and they are no later than these.
            fitting = table.fit_before(int(place[n]), int(work[n]))
            place[n] = place[n] if fitting is None else fitting
        resume, finish = table.clock_at_start_each(place), table.clock_at_finish_each(place + work)
    if network.has_points:
        is_point = network.is_point[here]
        np.copyto(resume, by, where=is_point)
        np.copyto(finish, by, where=is_point)
    return resume, finish
