"""Who hands over what to whom: the waits that limited hands impose on a plan.

A plan says when each task has its hands, not from whom. Here each pair of hands (and each clamp, or
whatever is countable) is followed through the plan as if it had a name: a task takes those that are
free, and so waits for the task that had them before. The waits keep the plan's order in every run
of a forecast, whatever the durations. The method is the resource flow network of C. Artigues and
F. Roubellat, "A polynomial activity insertion algorithm in a multi-resource schedule with
cumulative constraints and multiple modes", European Journal of Operational Research 127, 2000.

What this approximates:

- Where there are several of a thing, its users are fixed as the plan has them. A builder would take
  whoever is free first, so a forecast errs to the late side there. With one of each thing it is
  exact.
- A task done by the helper's hands keeps to the helper's hours, as in the plan.
- A task that begins with the helper's hands and goes on with the builder's, when those come free,
  waits by its finish: as large a part of its work as in the plan comes after the task before.
- Tasks whose working times interleave in the plan (one on Saturdays, one on evenings) do not wait
  for each other. In a run in which they would collide, both are taken to go on.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right, insort
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from tasks.network.forecast.own_hours import OwnHours, hours_key
from tasks.network.hands.hours import overlap
from tasks.network.hands.values import HandsPlan, HandsProblem
from tasks.network.values import LinkKind, TaskId
from tasks.network.week import Stretch

__all__ = ["Flow", "Wait", "hands_flow"]


@dataclass(frozen=True, slots=True)
class Wait:
    """A task waits for another that has its hands.

    Attributes: `thing`, what is handed over; `share`, how much of the work of `after` comes after
    the finish of `before`: 1 if all of it does.
    """

    before: TaskId
    after: TaskId
    thing: str
    share: float = 1.0


@dataclass(frozen=True)
class Flow:
    """The waits of a plan.

    Attributes
    ----------
    waits
        In the order of the plan for each thing.
    levels
        By task: how many there must be of each thing that it holds, so that those that it has are
        among them.
    loose
        (Task, thing) where not all that is held could be followed; nothing is waited for there.
    interleaved
        Pairs of tasks that share something by turns and do not wait for each other.
    """

    waits: Sequence[Wait]
    levels: Mapping[TaskId, Mapping[str, int]]
    loose: Sequence[tuple[TaskId, str]] = ()
    interleaved: Sequence[tuple[TaskId, TaskId]] = ()


def hands_flow(problem: HandsProblem, plan: HandsPlan) -> Flow:
    """Follow all that is held through a plan."""
    return _Follower(problem, plan).flow()


@dataclass(slots=True)
class _Holder:
    """A task with work to do, and what it holds of one thing.

    `present` is how many there are at all times that it works.
    """

    number: int
    id: TaskId
    resume: int
    finish: int
    amount: int
    present: int = 0


@dataclass(slots=True)
class _Group:
    """Units `low` up to `high` of a thing, which have the same past: (since, number, holder)."""

    low: int
    high: int
    past: list[tuple[int, int, _Holder]] = field(default_factory=list)
    last: _Holder | None = None

    def take(self, holder: _Holder, since: int) -> None:
        insort(self.past, (since, holder.number, holder))
        if self.last is None or holder.finish >= self.last.finish:
            self.last = holder

    def until(self, clock: int) -> Iterable[_Holder]:
        """Who has them at some time before a clock minute."""
        return (holder for _, _, holder in self.past[: bisect_left(self.past, (clock,))])


class _Follower:
    def __init__(self, problem: HandsProblem, plan: HandsPlan) -> None:
        self.problem, self.plan = problem, plan
        self.own = OwnHours(problem, problem.now, max(plan.launch, problem.now) + 1)
        self.in_shop = {found.task for found in plan.problems if found.rule == "hours"}
        self.before = _finished_before(problem)
        self.tasks = {
            task.id: number
            for number, task in enumerate(problem.tasks)
            if task.finished is None
            and plan.places[task.id].finish > plan.places[task.id].resume
            and task.work
        }
        self.pieces: dict[TaskId, list[Stretch]] = {}
        self.waits: dict[Wait, None] = {}
        self.levels: dict[TaskId, dict[str, int]] = {}
        self.loose: list[tuple[TaskId, str]] = []
        self.interleaved: set[tuple[TaskId, TaskId]] = set()

    def flow(self) -> Flow:
        amounts = {task: self._amounts(task) for task in self.tasks}
        self.levels = {task: dict(held) for task, held in amounts.items()}
        for thing in self.problem.capacities:
            holders = []
            for task, held in amounts.items():
                if held.get(thing):
                    place = self.plan.places[task]
                    holders.append(
                        _Holder(self.tasks[task], task, place.resume, place.finish, held[thing])
                    )
            self._follow(thing, holders)
        return Flow(list(self.waits), self.levels, self.loose, sorted(self.interleaved, key=str))

    def _amounts(self, task: TaskId) -> dict[str, int]:
        """What the plan gave it: never more than there ever is."""
        pick = min if task in self.in_shop else max
        held = {}
        for thing, amount in self.problem.need_of(task).amounts.items():
            cut = min(amount, pick(self.own.counts(thing)))
            if cut:
                held[thing] = cut
        return held

    def _follow(self, thing: str, holders: list[_Holder]) -> None:
        levels = self.own.levels(thing)
        counts = sorted({count for _, count in levels} - {0})
        if not holders or sum(holder.amount for holder in holders) <= levels[0][1] == counts[0]:
            return
        ends = [clock for clock, _ in levels[1:]] + [self.own.last]
        for holder in holders:
            holder.present = self._present(levels, ends, holder)
        # Who can only have what is always there takes it before those who may choose.
        holders.sort(key=lambda holder: (holder.present, holder.resume, holder.number))
        groups = [_Group(low, high) for low, high in zip([0, *counts], counts, strict=False)]
        for holder in holders:
            self._assign(thing, counts, groups, holder)
        for group in groups:
            self._wait(thing, group)

    def _present(
        self, levels: Sequence[tuple[int, int]], ends: Sequence[int], holder: _Holder
    ) -> int:
        if len(levels) == 1:
            return levels[0][1]
        pieces = self._pieces(holder.id)
        first = max(bisect_right(levels, (holder.resume, 2**62)) - 1, 0)
        last = bisect_left(levels, (holder.finish,))
        return min(
            count
            for (start, count), end in zip(levels[first:last], ends[first:last], strict=True)
            if any(since < end and until > start for since, until in pieces)
        )

    def _pieces(self, task: TaskId) -> list[Stretch]:
        """When a task works, in the plan."""
        if task not in self.pieces:
            place, need = self.plan.places[task], self.problem.need_of(task)
            name = None if task in self.in_shop else need.hours
            levels = {} if task in self.in_shop else self._amounts(task)
            own = self.own.stretches(hours_key(name, levels))
            first = max(bisect_right(own, (place.resume, 2**62)) - 1, 0)
            last = bisect_left(own, (place.finish,))
            self.pieces[task] = overlap(own[first:last], [(place.resume, place.finish)])
        return self.pieces[task]

    def _assign(self, thing: str, counts: list[int], groups: list[_Group], holder: _Holder) -> None:
        wanted, top = holder.amount, 0
        free = [
            group for group in groups if group.low < holder.present and self._free(group, holder)
        ]
        free.sort(key=lambda group: self._rank(counts, group, holder))
        for group in free:
            if not wanted:
                break
            self._split(groups, group, min(wanted, holder.present - group.low))
            group.take(holder, holder.resume)
            wanted -= group.high - group.low
            top = max(top, group.high)
        if not wanted:
            self.levels[holder.id][thing] = max(holder.amount, top)
            return
        # The rest is somebody else's until a hand becomes free, and goes on with that one.
        later = [
            (since, group.low, group)
            for group in groups
            if group.low < holder.present and group not in free
            if (since := self._free_since(group, holder)) is not None
        ]
        for since, _, group in sorted(later, key=lambda each: each[:2]):
            if not wanted:
                return
            self._split(groups, group, min(wanted, holder.present - group.low))
            group.take(holder, since)
            wanted -= group.high - group.low
        if wanted:
            self.loose.append((holder.id, thing))

    def _split(self, groups: list[_Group], group: _Group, count: int) -> None:
        """Cut a group down to its first `count` units."""
        middle = group.low + count
        if middle < group.high:
            groups.append(_Group(middle, group.high, group.past.copy(), group.last))
            group.high = middle

    def _free(self, group: _Group, holder: _Holder) -> bool:
        """Whether nobody else has it while a task works."""
        if group.last is None or holder.resume >= group.last.finish:
            return True
        return not any(self._collide(other, holder) for other in group.until(holder.finish))

    def _collide(self, one: _Holder, other: _Holder) -> bool:
        if one.finish <= other.resume or other.finish <= one.resume:
            return False
        return bool(overlap(self._pieces(one.id), self._pieces(other.id)))

    def _free_since(self, group: _Group, holder: _Holder) -> int | None:
        """From when on until its finish a task can have it; None for never."""
        since = max(
            (other.finish for other in group.until(holder.finish) if self._collide(other, holder)),
            default=holder.resume,
        )
        return since if since < holder.finish else None

    def _rank(self, counts: list[int], group: _Group, holder: _Holder) -> tuple[int, int, int, int]:
        """What to take first: what is always there; then what costs no new wait."""
        always = sum(count <= group.low for count in counts)
        if group.last is None:
            return always, 1, 0, group.low
        if self.before[holder.number] >> group.last.number & 1:
            return always, 0, 0, group.low
        return always, 2, group.last.finish, group.low

    def _wait(self, thing: str, group: _Group) -> None:
        """Each waits for the last before it, and for those that took turns with that one."""
        by_finish = sorted((holder for _, _, holder in group.past), key=lambda each: each.finish)
        finishes = [holder.finish for holder in by_finish]
        going: list[_Holder] = []
        for since, _, holder in group.past:
            going = [other for other in going if other.finish > holder.resume]
            self.interleaved.update(
                (other.id, holder.id) for other in going if other.finish > since
            )
            going.append(holder)
            floor = -(2**62)
            for at in range(bisect_right(finishes, since) - 1, -1, -1):
                other = by_finish[at]
                if other.finish <= floor:
                    break
                floor = max(floor, other.resume)
                share = 1.0
                if other.finish > holder.resume:
                    share = _share(self._pieces(holder.id), other.finish)
                self.waits[Wait(other.id, holder.id, thing, share)] = None


def _share(pieces: Iterable[Stretch], clock: int) -> float:
    """How much of some work comes after a clock minute."""
    whole = after = 0
    for start, end in pieces:
        whole += end - start
        after += max(0, end - max(start, clock))
    return after / whole


def _finished_before(problem: HandsProblem) -> list[int]:
    """For each task, as bits, those that links want finished before it starts."""
    numbers = {task.id: number for number, task in enumerate(problem.tasks)}
    waits: list[list[int]] = [[] for _ in numbers]
    for link in problem.links:
        if link.kind is LinkKind.FS and link.lag >= 0:
            waits[numbers[link.after]].append(numbers[link.before])
    bits: list[int | None] = [None] * len(numbers)
    for number in range(len(numbers)):
        stack = [number]
        while stack:
            at = stack[-1]
            missing = [before for before in waits[at] if bits[before] is None]
            if missing:
                stack += missing
                continue
            stack.pop()
            found = 0
            for before in waits[at]:
                found |= (bits[before] or 0) | 1 << before
            bits[at] = found
    return [found or 0 for found in bits]
