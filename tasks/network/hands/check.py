"""Whether a plan keeps the rules, read off the problem and the plan alone.

Written from the rules in `tasks.network.hands.values` and not from the planner: it shares no
look-up or table with it, and walks through stretches one by one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from tasks.network.hands.hours import Hours
from tasks.network.hands.values import HandsPlan, HandsProblem, Place
from tasks.network.values import LagIn, Link, LinkKind, Task, TaskId

__all__ = ["Violation", "check_plan"]

Stretch = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Violation:
    """A rule that a plan breaks.

    Attributes: `tasks`, the ids at fault; `rule`, a fixed word (`missing`, `actual`, `launch`,
    `too early`, `hours`, `minutes`, `unbroken`, `link`, `order`, `pin`, `enough`); `text`, a
    sentence for people.
    """

    tasks: tuple[TaskId, ...]
    rule: str
    text: str


def check_plan(problem: HandsProblem, plan: HandsPlan) -> list[Violation]:
    """Every rule that a plan breaks; none if it can be kept.

    What the planner names in `HandsPlan.problems` could not be planned as asked, and is found here
    as well.

    Examples
    --------
    >>> from tasks.network import Calendar, Task
    >>> problem = HandsProblem([Task("a", 5), Task("b", 5)], [], Calendar.always(), 0)
    >>> at_once = Place(0, 5, 5, 0)
    >>> plan = HandsPlan(0, 5, {"a": at_once, "b": at_once}, ("a", "b"), 5, True, 1)
    >>> [violation.rule for violation in check_plan(problem, plan)]
    ['enough']
    """
    return list(_Checker(problem, plan).violations())


class _Checker:
    def __init__(self, problem: HandsProblem, plan: HandsPlan) -> None:
        self.problem, self.plan = problem, plan
        moments = [problem.now, plan.launch]
        for place in plan.places.values():
            moments += [place.start, place.finish, place.cured, place.resume]
        # A fortnight on both sides, so that stretches at the edge are whole.
        self.first, self.last = min(moments) - 20_160, max(moments) + 20_160
        self._laid: dict[str | None, list[Stretch]] = {}
        self._levels = {
            name: capacity.levels(self.first, self.last)
            for name, capacity in problem.capacities.items()
        }

    def violations(self) -> Iterator[Violation]:
        problem, plan = self.problem, self.plan
        missing = [task.id for task in problem.tasks if task.id not in plan.places]
        if missing or len(plan.places) != len(problem.tasks):
            yield Violation(tuple(missing), "missing", "The plan has not the tasks of the network.")
            return
        launch = max((place.cured for place in plan.places.values()), default=problem.now)
        if plan.launch != launch:
            yield Violation((), "launch", f"The last cure ends at {launch}, not {plan.launch}.")
        for task in problem.tasks:
            yield from self._task(task, plan.places[task.id])
        by_id = {task.id: task for task in problem.tasks}
        for link in problem.links:
            if not self._keeps(link, by_id[link.before], by_id[link.after]):
                yield Violation((link.before, link.after), "link", f"{link} does not hold.")
        yield from self._order()
        for name in problem.capacities:
            yield from self._enough(name)

    def _task(self, task: Task, place: Place) -> Iterator[Violation]:
        def told(rule: str, text: str) -> Violation:
            return Violation((task.id,), rule, f"Task {task.id} {text}")

        if place.cured != place.finish + task.cure:
            yield told("minutes", f"cures from {place.finish} to {place.cured}.")
        if task.finished is not None:
            begun = task.finished if task.started is None else task.started
            if (place.start, place.finish) != (begun, task.finished):
                yield told("actual", "has other dates than it really had.")
            return
        if task.started is not None and place.start != task.started:
            yield told("actual", "has another start than it really had.")
        if task.started is None and place.start != place.resume:
            yield told("minutes", "starts twice.")
        floor = self.problem.now
        if task.started is None and task.not_before is not None:
            floor = max(floor, task.not_before)
        if place.resume < floor:
            yield told("too early", f"starts at {place.resume}, before {floor}.")
        pin = self.problem.need_of(task.id).pin
        if pin is not None and task.started is None and place.start != pin:
            yield told("pin", f"is pinned to {pin} and starts at {place.start}.")
        pieces = self.pieces(task, place)
        if sum(end - start for start, end in pieces) != task.work:
            yield told("minutes", f"has not its {task.work} minutes in its own hours.")
        if not task.work:
            if place.resume != place.finish:
                yield told("minutes", "has no work and takes time.")
        elif not pieces or (pieces[0][0], pieces[-1][1]) != (place.resume, place.finish):
            yield told("hours", "starts or finishes outside its own hours.")
        elif task.unbroken and len(pieces) > 1:
            yield told("unbroken", "pauses.")

    def pieces(self, task: Task, place: Place) -> list[Stretch]:
        """The stretches of a task's own hours from its resume to its finish."""
        need = self.problem.need_of(task.id)
        pieces = [
            (max(start, place.resume), min(end, place.finish))
            for start, end in self._hours(need.hours)
            if start < place.finish and end > place.resume
        ]
        for name, amount in need.amounts.items():
            pieces = [part for piece in pieces for part in self._with(name, amount, piece)]
        joined: list[Stretch] = []
        for start, end in pieces:
            if joined and joined[-1][1] == start:
                joined[-1] = (joined[-1][0], end)
            else:
                joined.append((start, end))
        return joined

    def _hours(self, name: str | None) -> list[Stretch]:
        if name not in self._laid:
            hours: Hours = self.problem.calendar if name is None else self.problem.hours[name]
            self._laid[name] = hours.stretches_between(self.first, self.last)
        return self._laid[name]

    def _with(self, name: str, amount: int, piece: Stretch) -> Iterator[Stretch]:
        """The parts of a piece in which there are enough of something."""
        levels = self._levels[name]
        for position, (clock, count) in enumerate(levels):
            end = levels[position + 1][0] if position + 1 < len(levels) else self.last
            part = max(clock, piece[0]), min(end, piece[1])
            if count >= amount and part[0] < part[1]:
                yield part

    def _passed(self, hours: list[Stretch], first: int, last: int) -> int:
        """Minutes of some hours between two clock minutes, negative backwards."""
        if last < first:
            return -self._passed(hours, last, first)
        return sum(max(0, min(end, last) - max(start, first)) for start, end in hours)

    def _keeps(self, link: Link, before: Task, after: Task) -> bool:
        if after.finished is not None:
            return True
        first, second = self.plan.places[before.id], self.plan.places[after.id]
        cure = 0
        if link.kind in (LinkKind.FS, LinkKind.FF):
            cure = before.cure if link.waits_for_cure else 0
            begin = first.finish + cure
        else:
            begin = first.start
        at_finish = link.kind in (LinkKind.FF, LinkKind.SF)
        held = second.finish if at_finish else second.resume
        if not link.lag or link.lag_in is LagIn.ELAPSED:
            if held >= begin + link.lag:
                return True
            return not link.lag and at_finish and not cure and self._no_work(after, held, begin)
        shop = self._hours(None)
        passed = self._passed(shop, begin, held)
        if passed >= link.lag:
            return True
        # The moment by which the lag has passed may come after an own stretch that ends with it.
        reached = self._reached(shop, begin, link.lag)
        return at_finish and reached is not None and self._no_work(after, held, reached)

    def _reached(self, shop: list[Stretch], begin: int, lag: int) -> int | None:
        """The first clock minute by which so many shop minutes have passed since another."""
        ends = sorted({moment for stretch in shop for moment in stretch} | {begin})
        for start, end in pairwise(ends):
            if self._passed(shop, begin, end) >= lag:
                for clock in (end - self._passed(shop, begin, end) + lag, start):
                    if start <= clock <= end and self._passed(shop, begin, clock) == lag:
                        return clock
        return None

    def _no_work(self, task: Task, first: int, last: int) -> bool:
        """Whether a task with work has no own minute between two moments."""
        between = Place(first, last, last, first)
        return bool(task.work) and not self.pieces(task, between)

    def _order(self) -> Iterator[Violation]:
        for link in self.problem.order_links():
            first, second = self.plan.places[link.before], self.plan.places[link.after]
            if second.start < first.start:
                yield Violation(
                    (link.before, link.after),
                    "order",
                    f"Task {link.after} starts before task {link.before}.",
                )

    def _enough(self, name: str) -> Iterator[Violation]:
        """Whether all that is held at a time is there, looked at wherever anything changes."""
        held: dict[int, int] = dict.fromkeys((clock for clock, _ in self._levels[name]), 0)
        holders: list[tuple[int, int, TaskId]] = []
        for task in self.problem.tasks:
            amount = self.problem.need_of(task.id).amounts.get(name, 0)
            if not amount or not task.work:
                continue
            for start, end in self.pieces(task, self.plan.places[task.id]):
                held[start] = held.get(start, 0) + amount
                held[end] = held.get(end, 0) - amount
                holders.append((start, end, task.id))
        levels, total, count = dict(self._levels[name]), 0, 0
        for clock in sorted(held):
            total += held[clock]
            count = levels.get(clock, count)
            if total > count:
                at_once = tuple(task for start, end, task in holders if start <= clock < end)
                yield Violation(
                    at_once, "enough", f"At {clock} {total} of {name} are held, of {count}."
                )
                return
