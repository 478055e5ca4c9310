"""A problem made ready to be laid out: tasks by rank, hours as tables, what is held as one number.

Two lines of time are used. *Own minutes* count the minutes of a task's own hours. *Base minutes*
count those in which any task can work, so that nights and weekends fall away and a task that pauses
over them is one piece for all who keep to the shop's hours. What is free is written over base
minutes, all resources packed into one whole number with a guard bit above each: taking a demand
away leaves every guard bit in place only where there is enough of everything.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from tasks.network.exceptions import NoShopHours, OutOfShopHours
from tasks.network.graph import rank_tasks
from tasks.network.hands.hours import Hours, overlap
from tasks.network.hands.values import HandsProblem
from tasks.network.table import NEVER, StretchTable
from tasks.network.values import LagIn, Link, LinkKind, Problem, Task, TaskId
from tasks.network.week import DAY, Stretch, join_touching

__all__ = [
    "Ground",
    "Hold",
    "Own",
    "Row",
    "Side",
    "TooShort",
    "compile_ground",
    "horizon",
    "longer",
]

#: Plans that run further than this are taken for mistakes.
_MOST = 64 * 366 * DAY
#: Days of shop hours laid out before the status time, for plans laid out backwards.
_BEFORE = 120 * DAY
#: Hours that have not come for so long are over; a season comes every year.
_SILENCE = 2 * 366 * DAY


class TooShort(Exception):
    """A task found no place in the days laid out.

    Attributes: `rank`, its rank.
    """

    def __init__(self, rank: int) -> None:
        super().__init__(rank)
        self.rank = rank


class Hold(NamedTuple):
    """What holds a task back: an event of another, and the minutes to wait after it.

    `wait` elapsed minutes first, then `shop` minutes, then `rest` elapsed ones.
    """

    source: int
    from_start: bool
    wait: int
    shop: int
    by_clock: bool
    rest: int = 0


@dataclass(frozen=True, slots=True)
class Own:
    """A task's own hours: `table` from clock to own minutes, `base` from base to own minutes.

    `shift` is what to add to an own minute for its base minute, None where own hours have gaps in
    base minutes.
    """

    table: StretchTable
    base: StretchTable
    shift: int | None


@dataclass(frozen=True, slots=True)
class Row:
    """A task that is not finished, as seen from one side of time.

    Attributes
    ----------
    starts, finishes
        What holds its start, and its finish.
    floor
        Clock minute before which it cannot start.
    finish_floor
        Own minute before which it cannot finish.
    lead
        Minutes after the floor that `Line.lay` is given.
    work, own, need, one_go
        Shop minutes, hours, packed demand, whether it must lie in one stretch.
    """

    starts: tuple[Hold, ...]
    finishes: tuple[Hold, ...]
    floor: int
    finish_floor: int
    lead: int
    work: int
    own: Own
    need: int
    one_go: bool


@dataclass(frozen=True, slots=True)
class Side:
    """The problem seen forward in time, or backward (with every clock minute negated).

    Attributes: `rows` by rank; `shop`, the shop's hours; `times` and `free`, what is free from each
    base minute on; `guard`, the guard bits; `end`, the last clock minute laid out; `pins`, (clock
    minute, rank) in order of time.
    """

    rows: list[Row]
    shop: StretchTable
    base: StretchTable
    times: list[int]
    free: list[int]
    guard: int
    end: int
    pins: list[tuple[int, int]]


@dataclass(frozen=True, slots=True)
class Ground:
    """Both sides of a problem.

    Attributes
    ----------
    tasks
        The unfinished ones by rank: each after all that it waits for.
    before, after
        Ranks that each rank waits for, and that wait for it.
    forward, backward
        The two sides.
    cure
        Elapsed minutes by rank.
    plain_order
        Whether sorting by time never puts a task before one that it waits for.
    done
        The latest end of a cure of what is finished.
    problems
        What is not planned as asked.
    """

    tasks: list[Task]
    before: list[list[int]]
    after: list[list[int]]
    forward: Side
    backward: Side
    cure: list[int]
    plain_order: bool
    now: int
    done: int
    problems: list[Problem]

    @property
    def count(self) -> int:
        return len(self.tasks)

    def has_ended(self, rank: int) -> bool:
        """Whether a task's own hours, as laid out, look as if no more were to come."""
        row = self.forward.rows[rank]
        least = row.work if row.one_go else 1
        ends = [end for start, end in row.own.table.stretches if end - start >= least]
        return not ends or ends[-1] + _SILENCE < self.forward.end


def compile_ground(
    problem: HandsProblem, minutes: int, unplaced: frozenset[TaskId] = frozenset()
) -> Ground:
    """Make a problem ready.

    Parameters
    ----------
    problem
        The problem.
    minutes
        How much to lay out from the status time on.
    unplaced
        Tasks that found no place in their own hours and are to be planned in the shop's.

    Raises
    ------
    Cycle
        If links and the fixed order make tasks wait for each other.
    NoShopHours
        If there is work and no shop hours for it.
    """
    return _Compiler(problem, minutes, unplaced).ground()


def horizon(problem: HandsProblem) -> int:
    """A guess at the minutes that a plan takes, on the generous side."""
    now = problem.now
    open_minutes = sum(
        end - start for start, end in problem.calendar.stretches_between(now, now + 56 * DAY)
    )
    work = sum(task.work for task in problem.tasks)
    waits = sum(task.cure for task in problem.tasks) + sum(abs(link.lag) for link in problem.links)
    instants = [task.not_before or now for task in problem.tasks]
    instants += [need.pin or now for need in problem.needs.values()]
    spread = work * 56 * DAY // max(open_minutes, 56 * 60) if work else 0
    return max(max(instants, default=now) - now, 0) + 2 * spread + waits + 120 * DAY


def longer(minutes: int) -> int:
    """More minutes to lay out; raises `OutOfShopHours` at the end of all patience."""
    if minutes >= _MOST:
        raise OutOfShopHours("the work finds no place in the shop hours of 64 years")
    return min(4 * minutes, _MOST)


class _Compiler:
    def __init__(self, problem: HandsProblem, minutes: int, unplaced: frozenset[TaskId]) -> None:
        self.problem, self.unplaced = problem, unplaced
        now = problem.now
        self.first = now - min(minutes, _BEFORE)
        self.last = now + minutes
        links = [*problem.links, *problem.order_links()]
        numbers = {task.id: position for position, task in enumerate(problem.tasks)}
        ends = np.array(
            [(numbers[link.before], numbers[link.after]) for link in links], np.int64
        ).reshape(-1, 2)
        order, _ = rank_tasks(list(numbers), ends[:, 0], ends[:, 1])
        ranked = [problem.tasks[position] for position in order.tolist()]
        self.tasks = [task for task in ranked if task.finished is None]
        self.rank = {task.id: rank for rank, task in enumerate(self.tasks)}
        self.by_id = {task.id: task for task in problem.tasks}
        self.links = links
        self.names = sorted(problem.capacities)
        self.levels = {
            name: problem.capacities[name].levels(self.first, self.last) for name in self.names
        }
        self.problems: list[Problem] = []
        self.laid: dict[str | None, list[Stretch]] = {}
        self.own: dict[tuple[str | None, tuple[int, ...]], list[Stretch]] = {}

    def ground(self) -> Ground:
        amounts = [self._amounts(task) for task in self.tasks]
        hours = [
            self._own_stretches(task, held) for task, held in zip(self.tasks, amounts, strict=True)
        ]
        one_go = [self._one_go(task, own) for task, own in zip(self.tasks, hours, strict=True)]
        into, finish_into, floors, finish_floors = self._holds()
        count = len(self.tasks)
        before: list[list[int]] = [[] for _ in range(count)]
        after: list[list[int]] = [[] for _ in range(count)]
        for rank in range(count):
            for source in sorted({hold.source for hold in into[rank] + finish_into[rank]}):
                before[rank].append(source)
                after[source].append(rank)
        plain = not any(finish_into) and all(
            not hold.from_start and hold.wait >= 0 and hold.shop >= 0
            for holds in into
            for hold in holds
        )
        packed, guard, places = self._packed(amounts)
        stretches = join_touching(
            stretch for own in {id(own): own for own in hours}.values() for stretch in own
        )
        build = _SideBuilder(self, hours, one_go, packed, guard, places, stretches)
        back_into, back_finish = _mirrored(self.tasks, into, finish_into)
        cure = [task.cure for task in self.tasks]
        done = [
            task.finished + task.cure for task in self.problem.tasks if task.finished is not None
        ]
        return Ground(
            tasks=self.tasks,
            before=before,
            after=after,
            forward=build.side(1, into, finish_into, floors, finish_floors, [0] * count),
            backward=build.side(
                -1, back_into, back_finish, [-NEVER] * count, [[] for _ in range(count)], cure
            ),
            cure=cure,
            plain_order=plain,
            now=self.problem.now,
            done=max(done, default=self.problem.now),
            problems=self.problems,
        )

    def _amounts(self, task: Task) -> tuple[int, ...]:
        """What a task holds, cut down to the most there ever is."""
        need = self.problem.need_of(task.id)
        amounts = []
        for name in self.names:
            amount = need.amounts.get(name, 0)
            counts = [level for _, level in self.levels[name]]
            if task.id in self.unplaced:
                amounts.append(min(amount, *counts) if task.work else 0)
                continue
            most = max(counts)
            if amount > most and task.work:
                self._tell(
                    task,
                    "enough",
                    f"needs {amount} of {name}, but there are never more than {most}. "
                    f"It is planned with {most}.",
                )
                amount = most
            amounts.append(amount if task.work else 0)
        return tuple(amounts)

    def _own_stretches(self, task: Task, amounts: tuple[int, ...]) -> list[Stretch]:
        need = self.problem.need_of(task.id)
        name = need.hours
        if task.id in self.unplaced:
            self._tell(
                task,
                "hours",
                "finds no place in its own hours with all that it needs. "
                "It is planned in the shop's hours, in pieces, with no more than is always there.",
            )
            return self.hours_named(None)
        if (name, amounts) in self.own:
            return self.own[name, amounts]
        own = self.hours_named(name)
        for thing, amount in zip(self.names, amounts, strict=True):
            if amount > min(level for _, level in self.levels[thing]):
                enough = self.problem.capacities[thing].stretches_with(
                    amount, self.first, self.last
                )
                own = overlap(own, enough)
        self.own[name, amounts] = own
        return own

    def hours_named(self, name: str | None) -> list[Stretch]:
        if name not in self.laid:
            hours: Hours = self.problem.calendar if name is None else self.problem.hours[name]
            self.laid[name] = join_touching(hours.stretches_between(self.first, self.last))
        return self.laid[name]

    def _one_go(self, task: Task, own: Sequence[Stretch]) -> bool:
        if not task.unbroken or not task.work or task.id in self.unplaced:
            return False
        now = self.problem.now
        longest = max((end - max(start, now) for start, end in own if end > now), default=0)
        if task.work <= longest:
            return True
        self._tell(
            task,
            "unbroken",
            f"must be done in one go and needs {task.work} minutes, but the longest stretch of "
            f"its hours has {longest}. It is planned in pieces.",
        )
        return False

    def _tell(self, task: Task, rule: str, text: str) -> None:
        self.problems.append(Problem(task.id, rule, f"Task {task.id} {text}"))

    def _packed(self, amounts: Iterable[tuple[int, ...]]) -> tuple[list[int], int, list[int]]:
        """Demands as packed numbers, the guard bits, and where each resource begins."""
        at, guard, places = 0, 0, []
        for name in self.names:
            places.append(at)
            at += max(level for _, level in self.levels[name]).bit_length() + 1
            guard |= 1 << (at - 1)
        packed = [
            sum(amount << place for amount, place in zip(row, places, strict=True))
            for row in amounts
        ]
        return packed, guard, places

    def _holds(
        self,
    ) -> tuple[list[list[Hold]], list[list[Hold]], list[int], list[list[tuple[int, bool]]]]:
        """Holds on starts and on finishes, and what is already known of both, as clock minutes."""
        count = len(self.tasks)
        into: list[list[Hold]] = [[] for _ in range(count)]
        finish_into: list[list[Hold]] = [[] for _ in range(count)]
        floors = []
        finish_floors: list[list[tuple[int, bool]]] = [[] for _ in range(count)]
        for task in self.tasks:
            waits = task.started is None and task.not_before is not None
            floors.append(max(self.problem.now, task.not_before or 0 if waits else -NEVER))
        shop = StretchTable(self.hours_named(None))
        for link in self.links:
            after = self.rank.get(link.after)
            if after is None:
                continue
            target = self.by_id[link.after]
            hold, event = self._hold(link)
            at_finish = link.kind in (LinkKind.FF, LinkKind.SF) and target.work > 0
            if event is None:
                (finish_into if at_finish else into)[after].append(hold)
                continue
            reached = event + hold.wait
            if hold.shop:
                reached = shop.clock_at_finish(max(shop.shop_at(reached) + hold.shop, 0))
            if at_finish:
                finish_floors[after].append((reached, hold.by_clock))
            else:
                floors[after] = max(floors[after], reached)
        return into, finish_into, floors, finish_floors

    def _hold(self, link: Link) -> tuple[Hold, int | None]:
        """A link as a hold, and the clock minute that it counts from if that is known."""
        before = self.by_id[link.before]
        from_start = link.kind in (LinkKind.SS, LinkKind.SF)
        cure = before.cure if link.waits_for_cure and not from_start else 0
        in_shop = link.lag_in is LagIn.SHOP
        hold = Hold(
            source=self.rank.get(link.before, -1),
            from_start=from_start,
            wait=cure + (0 if in_shop else link.lag),
            shop=link.lag if in_shop else 0,
            by_clock=(not in_shop) if link.lag else cure > 0,
        )
        if from_start and before.started is not None:
            return hold, before.started
        return hold, before.finished


def _mirrored(
    tasks: Sequence[Task], into: list[list[Hold]], finish_into: list[list[Hold]]
) -> tuple[list[list[Hold]], list[list[Hold]]]:
    """The same holds in time that runs backward: who held is held, starts are finishes.

    A point in time has one moment, which is its start, in either direction.
    """
    starts: list[list[Hold]] = [[] for _ in into]
    finishes: list[list[Hold]] = [[] for _ in into]
    for at_finish, holds in ((False, into), (True, finish_into)):
        for rank, row in enumerate(holds):
            for hold in row:
                side = finishes if hold.from_start and tasks[hold.source].work else starts
                # A start is held to the minute, be it in a pause or not.
                back = hold._replace(source=rank, from_start=at_finish, by_clock=True)
                if hold.shop:
                    back = back._replace(wait=0, rest=hold.wait)
                side[hold.source].append(back)
    return starts, finishes


class _SideBuilder:
    """Makes the rows and tables of either side of time; `sign` is 1 or -1."""

    def __init__(
        self,
        given: _Compiler,
        hours: list[list[Stretch]],
        one_go: list[bool],
        packed: list[int],
        guard: int,
        places: list[int],
        stretches: list[Stretch],
    ) -> None:
        self.given, self.hours, self.one_go = given, hours, one_go
        self.packed, self.guard, self.places = packed, guard, places
        # Who has no own hours at all will be planned in the shop's.
        self.stretches = stretches or given.hours_named(None)
        if not self.stretches and any(task.work for task in given.tasks):
            raise NoShopHours("there is work to plan, but no shop hours for it")

    def side(
        self,
        sign: int,
        into: list[list[Hold]],
        finish_into: list[list[Hold]],
        floors: list[int],
        finish_floors: list[list[tuple[int, bool]]],
        lead: list[int],
    ) -> Side:
        given = self.given
        base = StretchTable(_turned(self.stretches, sign))
        owns: dict[int, Own] = {}
        rows = []
        for rank, task in enumerate(given.tasks):
            key = id(self.hours[rank])
            if key not in owns:
                owns[key] = _own(_turned(self.hours[rank], sign), base)
            own = owns[key]
            finish_floor = max(
                (
                    own.table.first_finish_from(clock) if by_clock else own.table.shop_at(clock)
                    for clock, by_clock in finish_floors[rank]
                ),
                default=-NEVER,
            )
            rows.append(
                Row(
                    tuple(into[rank]),
                    tuple(finish_into[rank]),
                    floors[rank],
                    finish_floor,
                    lead[rank],
                    task.work,
                    own,
                    self.packed[rank],
                    self.one_go[rank],
                )
            )
        times, free = self._free(base, sign)
        return Side(
            rows=rows,
            shop=StretchTable(_turned(given.hours_named(None), sign)),
            base=base,
            times=times,
            free=free,
            guard=self.guard,
            end=given.last if sign > 0 else -given.first,
            pins=self._pins() if sign > 0 else [],
        )

    def _pins(self) -> list[tuple[int, int]]:
        pins = []
        for rank, task in enumerate(self.given.tasks):
            pin = self.given.problem.need_of(task.id).pin
            if pin is not None and task.started is None:
                pins.append((pin, rank))
        return sorted(pins)

    def _free(self, base: StretchTable, sign: int) -> tuple[list[int], list[int]]:
        """What is free from each base minute on; the last entry frees nothing and never ends."""
        given = self.given
        changes = sorted({clock for levels in given.levels.values() for clock, _ in levels})
        spans: dict[int, int] = {}
        ends = [*changes[1:], given.last]
        for start, end in zip(changes, ends, strict=True):
            low, high = (start, end) if sign > 0 else (-end, -start)
            first, last = base.shop_at(low), base.shop_at(high)
            if first < last:
                spans[first] = sum(
                    self._level(name, start) << place
                    for name, place in zip(given.names, self.places, strict=True)
                )
        times: list[int] = []
        free: list[int] = []
        for first in sorted(spans):
            if not free or free[-1] != spans[first] | self.guard:
                times.append(first)
                free.append(spans[first] | self.guard)
        if not times:
            times, free = [0], [self.guard]
        return [*times, 2 * NEVER], [*free, 0]

    def _level(self, name: str, clock: int) -> int:
        levels = self.given.levels[name]
        return levels[bisect_right(levels, (clock, NEVER)) - 1][1]


def _turned(stretches: Sequence[Stretch], sign: int) -> list[Stretch]:
    if sign > 0:
        return list(stretches)
    return [(-end, -start) for start, end in reversed(stretches)]


def _own(stretches: Sequence[Stretch], base: StretchTable) -> Own:
    pieces = join_touching((base.shop_at(start), base.shop_at(end)) for start, end in stretches)
    shift = pieces[0][0] if len(pieces) == 1 else None
    return Own(StretchTable(stretches), StretchTable(pieces), shift)
