"""A network as arrays, the tasks numbered by *rank*: each after all that it waits for."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tasks.network.columns import LinkColumns, TaskColumns
from tasks.network.graph import rank_tasks
from tasks.network.pulls import Pulls
from tasks.network.table import NEVER, Ints
from tasks.network.values import TaskId

__all__ = ["CURED", "FINISH", "FLOOR", "START", "Compiled"]

#: Blocks of the array of moments, by which a forward pull finds what it counts from.
START, FINISH, CURED, FLOOR = range(4)
#: Blocks of the array of late dates, by which a backward pull finds what it counts back from.
LATE_RESUME, LATE_FINISH, LATE_CAP = range(3)


class Compiled:
    """A network by rank.

    Parameters
    ----------
    ids
        The tasks.
    given, held
        What is known of the tasks and of the links. Links into finished tasks hold nothing; they
        only take part in the order.

    Raises
    ------
    Cycle
        If there is no order.

    Notes
    -----
    `order[rank]` is a task's position in `ids`, `rank` the reverse, and `before[link]` the rank of
    the task before; `levels` are as in `rank_tasks`. `to_start` and `to_finish` hold tasks back,
    `from_start` and `from_finish` hurry them. Every task has a pull in `to_start`, which is its
    floor, and one in `from_finish`, which is the launch.
    """

    def __init__(self, ids: Sequence[TaskId], given: TaskColumns, held: LinkColumns) -> None:
        self.count = len(ids)
        self.order, self.levels = rank_tasks(ids, held.before, held.after)
        rank = np.empty(self.count, np.int64)
        rank[self.order] = np.arange(self.count)
        self.rank, self.before = rank, rank[held.before]
        self.work, self.cure = given.work[self.order], given.cure[self.order]
        self.unbroken = given.unbroken[self.order]
        self.not_before = given.not_before[self.order]
        self.finished = given.finished[self.order]
        self.started = given.started[self.order]
        self.is_finished, self.is_point = self.finished > -NEVER, self.work == 0
        #: Starts that nothing can move any more; -NEVER for all others.
        self.begun = np.where(self.started > -NEVER, self.started, self.finished)
        self.has_points = bool(self.is_point.any())
        self.has_begun = bool((self.begun > -NEVER).any())
        self._pull(held, rank[held.after])

    def _pull(self, held: LinkColumns, after: Ints) -> None:
        before, count = self.before, self.count
        event = np.where(
            held.from_start,
            START,
            np.where(held.waits_for_cure & (self.cure[before] > 0), CURED, FINISH),
        )
        # A point in time has one moment, which is its start.
        at_finish = held.to_finish & ~self.is_point[after]
        # A lag of 0 is waited for by the clock only where a cure is.
        by_clock = np.where(held.lag != 0, held.elapsed, event == CURED)
        shop = np.where(held.elapsed, 0, held.lag)
        holds = ~self.is_finished[after]
        forward = Pulls(
            target=after,
            source=event * count + before,
            wait=np.where(held.elapsed, held.lag, 0),
            shop=shop,
            by_shop=shop != 0,
            by_clock=by_clock,
            link=np.arange(len(after)),
        )
        self.to_start = forward.grouped(count, holds & ~at_finish, FLOOR * count)
        self.to_finish = forward.grouped(count, holds & at_finish)
        by_shop = np.where(at_finish, ~by_clock, shop != 0)
        backward = Pulls(
            target=before,
            source=np.where(at_finish, LATE_FINISH, LATE_RESUME) * count + after,
            wait=np.where(by_shop, 0, forward.wait)
            + np.where(event == CURED, self.cure[before], 0),
            shop=shop,
            by_shop=by_shop,
            by_clock=by_clock,
            link=forward.link,
        )
        from_start = event == START
        self.from_start = backward.grouped(
            count, holds & from_start & (self.begun[before] == -NEVER)
        )
        self.from_finish = backward.grouped(count, holds & ~from_start, LATE_CAP * count)
