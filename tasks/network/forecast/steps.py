"""A plan as steps in an order in which every run can be laid out: each after all that it waits for.

Instants are clock minutes from the status time on.
"""

from __future__ import annotations

import heapq
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from tasks.network.forecast.flow import Flow
from tasks.network.forecast.own_hours import HoursKey, hours_key
from tasks.network.hands.values import HandsPlan, HandsProblem
from tasks.network.values import LagIn, Link, LinkKind, Task, TaskId

__all__ = ["Hold", "Step", "steps_of"]


class Hold(NamedTuple):
    """What holds a step back.

    Attributes
    ----------
    source
        The place of the step before in the order.
    from_start
        Whether its start counts or its finish.
    wait, shop
        Clock minutes and shop minutes to wait after it.
    by_clock
        Of a hold on a finish: whether it must not come before the clock minute, or not before the
        own minute.
    share
        Of a hold on a finish: how much of the work must come after.
    """

    source: int
    from_start: bool
    wait: int = 0
    shop: int = 0
    by_clock: bool = False
    share: float = 0.0

    @property
    def is_plain(self) -> bool:
        """Whether there is nothing to wait for after the event."""
        return not self.wait and not self.shop


@dataclass(frozen=True, slots=True)
class Step:
    """An unfinished task.

    Attributes
    ----------
    hours
        Its own hours.
    floor
        Before which it cannot start, 0 at least.
    finish_floors
        (instant, `by_clock`) before which it cannot finish.
    starts, finishes
        What holds its start and its finish, links before hands.
    is_point
        Whether it has no work in any run.
    one_go
        Whether it must lie in one stretch.
    may_be_last
        Whether its cure may be what the launch waits for.
    """

    id: TaskId
    hours: HoursKey
    cure: int
    floor: int
    finish_floors: tuple[tuple[int, bool], ...]
    starts: tuple[Hold, ...]
    finishes: tuple[Hold, ...]
    is_point: bool
    one_go: bool
    may_be_last: bool


def steps_of(
    problem: HandsProblem, plan: HandsPlan, flow: Flow, most: Mapping[TaskId, float]
) -> list[Step]:
    """The steps of a plan.

    Parameters
    ----------
    problem, plan, flow
        What was planned, the plan, and the waits that follow from it.
    most
        The highest work of each unfinished task, in shop minutes.
    """
    return _Compiler(problem, plan, flow, most).steps()


class _Compiler:
    def __init__(
        self, problem: HandsProblem, plan: HandsPlan, flow: Flow, most: Mapping[TaskId, float]
    ) -> None:
        self.problem, self.plan, self.flow, self.most = problem, plan, flow, most
        self.by_id = {task.id: task for task in problem.tasks}
        self.links = [*problem.links, *problem.order_links()]
        self.order = self._in_order()
        self.place = {task.id: place for place, task in enumerate(self.order)}
        self.told = {(found.task, found.rule) for found in plan.problems}

    def steps(self) -> list[Step]:
        count = len(self.order)
        self.floors = [self._floor(task) for task in self.order]
        self.finish_floors: list[list[tuple[int, bool]]] = [[] for _ in range(count)]
        self.starts: list[list[Hold]] = [[] for _ in range(count)]
        self.finishes: list[list[Hold]] = [[] for _ in range(count)]
        self.followed = [False] * count
        for link in self.links:
            self._link(link)
        for wait in self.flow.waits:
            before, after = self.place[wait.before], self.place[wait.after]
            # A lead may have the task after, by its link, come before in the plan.
            if before < after and not self.is_point(after):
                if wait.share == 1:
                    self.starts[after].append(Hold(before, False))
                    self.followed[before] |= not self.order[before].cure
                else:
                    self.finishes[after].append(Hold(before, False, share=wait.share))
        self._drop_needless()
        return [self._step(place, task) for place, task in enumerate(self.order)]

    def is_point(self, place: int) -> bool:
        return not self.most[self.order[place].id]

    def _in_order(self) -> list[Task]:
        """Unfinished tasks as the plan has them: after what their links ask for, and after who has
        their hands unless a lead in the links has turned that round."""
        places = self.plan.places
        unfinished = [task for task in self.problem.tasks if task.finished is None]
        numbers = {task.id: number for number, task in enumerate(unfinished)}
        linked, handed = ([0] * len(unfinished) for _ in range(2))
        after: list[list[tuple[int, list[int]]]] = [[] for _ in unfinished]
        pairs = [
            (link.before, link.after, linked) for link in self.links if self._known(link) is None
        ]
        pairs += [(wait.before, wait.after, handed) for wait in self.flow.waits]
        for before, later, waits in pairs:
            if before in numbers and later in numbers:
                after[numbers[before]].append((numbers[later], waits))
                waits[numbers[later]] += 1

        def key(number: int) -> tuple[int, int, int]:
            place = places[unfinished[number].id]
            return place.resume, place.finish, number

        ready = [key(at) for at in range(len(unfinished)) if not linked[at] and not handed[at]]
        heapq.heapify(ready)
        order: dict[int, Task] = {}
        while len(order) < len(unfinished):
            if not ready:
                left = [key(at) for at in range(len(unfinished)) if at not in order]
                ready = [min(each for each in left if not linked[each[2]])]
            number = heapq.heappop(ready)[2]
            order[number] = unfinished[number]
            for later, waits in after[number]:
                waits[later] -= 1
                if later not in order and not linked[later] and not handed[later]:
                    heapq.heappush(ready, key(later))
        return list(order.values())

    def _floor(self, task: Task) -> int:
        if task.started is not None:
            return 0
        instants = [self.problem.now, task.not_before, self.problem.need_of(task.id).pin]
        return max(instant for instant in instants if instant is not None) - self.problem.now

    def _link(self, link: Link) -> None:
        after = self.place.get(link.after)
        if after is None:
            return
        task = self.by_id[link.before]
        from_start = link.kind in (LinkKind.SS, LinkKind.SF)
        at_finish = link.kind in (LinkKind.FF, LinkKind.SF) and not self.is_point(after)
        cure = task.cure if link.waits_for_cure and not from_start else 0
        in_shop = link.lag_in is LagIn.SHOP
        wait, shop = cure + (0 if in_shop else link.lag), link.lag if in_shop else 0
        by_clock = (not in_shop) if link.lag else cure > 0
        known = self._known(link)
        if known is None:
            before = self.place[link.before]
            hold = Hold(before, from_start, wait, shop, by_clock)
            (self.finishes if at_finish else self.starts)[after].append(hold)
            waited_for = not from_start and wait >= task.cure and shop >= 0
            if waited_for and (by_clock or not at_finish):
                self.followed[before] = True
            return
        reached = known + wait
        if shop:
            calendar = self.problem.calendar
            passed = max(calendar.shop_at(reached) + shop, calendar.table.first)
            reached = calendar.clock_at_finish(passed)
        if at_finish:
            self.finish_floors[after].append((reached - self.problem.now, by_clock))
        else:
            self.floors[after] = max(self.floors[after], reached - self.problem.now)

    def _known(self, link: Link) -> int | None:
        """When the event that a link counts from was, if it has been."""
        task = self.by_id[link.before]
        if link.kind in (LinkKind.SS, LinkKind.SF) and task.started is not None:
            return task.started
        return task.finished

    def _drop_needless(self) -> None:
        """Leave out waits for what a task before has waited for: the runs take as long as these."""
        before = [0] * len(self.order)
        for place, holds in enumerate(self.starts):
            follows = [hold for hold in holds if not hold.from_start and _keeps_order(hold)]
            found = 0
            for hold in follows:
                found |= before[hold.source]
            kept: dict[Hold, None] = {}
            for hold in holds:
                if not (hold in follows and hold.is_plain and found >> hold.source & 1):
                    kept[hold] = None
            self.starts[place] = list(kept)
            for hold in follows:
                found |= 1 << hold.source
            before[place] = found

    def _step(self, place: int, task: Task) -> Step:
        need = self.problem.need_of(task.id)
        in_shop = (task.id, "hours") in self.told
        levels = {} if in_shop else self.flow.levels.get(task.id, need.amounts)
        levels = {thing: level for thing, level in levels.items() if level}
        return Step(
            id=task.id,
            hours=hours_key(None if in_shop else need.hours, levels),
            cure=task.cure,
            floor=self.floors[place],
            finish_floors=tuple(self.finish_floors[place]),
            starts=tuple(self.starts[place]),
            finishes=tuple(self.finishes[place]),
            is_point=self.is_point(place),
            one_go=task.unbroken and not in_shop and (task.id, "unbroken") not in self.told,
            may_be_last=not self.followed[place],
        )


def _keeps_order(hold: Hold) -> bool:
    return hold.wait >= 0 and hold.shop >= 0
