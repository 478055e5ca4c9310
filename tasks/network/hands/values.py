"""What goes into a plan with limited hands, and the plan that comes out.

Instants are clock minutes (whole minutes since 1970-01-01T00:00Z), work is in shop minutes, cures
and elapsed lags in elapsed minutes, as everywhere in `tasks.network`.

The rules of such a plan, by which `check_plan` judges it:

1. Work is done in a task's *own hours*: the hours that it names, else the shop's, as far as there
   is enough of all that it needs, whatever the other tasks take. A task that needs two people goes
   on in the hours for which a second one is booked, and rests in between as it does over night.
2. A task that is started goes on through all its own hours until it is done. It pauses for nothing
   else; not even when its hands are wanted elsewhere.
3. An unbroken task lies in one stretch of its own hours.
4. In each minute that a task works it holds what it needs; in its pauses and while it cures it
   holds nothing. Nothing is held by more tasks than there is of it.
5. Links hold as in `schedule`. A lag in shop minutes passes in the shop's hours, whatever hours
   the two tasks keep. A lag of 0 between two finishes is kept if no own minute of the task after
   lies between them.
6. What is not started starts no earlier than the status time, its `not_before` and, in a fixed
   order, the task before it. What is started goes on from the status time. What is pinned starts
   at that minute.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from tasks.network.calendar import Calendar
from tasks.network.columns import number
from tasks.network.exceptions import BadValue, UnknownTask
from tasks.network.hands.hours import Capacity, Hours
from tasks.network.values import Link, LinkKind, Problem, Task, TaskId

__all__ = ["HANDS", "HandsPlan", "HandsProblem", "Need", "Place"]

HANDS: Final = "hands"


@dataclass(frozen=True, slots=True)
class Need:
    """What a task needs beside time.

    Parameters
    ----------
    amounts
        How many of each countable thing it holds while it is worked on; one pair of hands if
        nothing else is said.
    hours
        Name of the hours that it keeps to; None for the shop's. They stand alone: use `Both` for
        what must lie in the shop's as well.
    pin
        Clock minute at which it is to start; no matter once it has been started.

    Raises
    ------
    BadValue
        If an amount is not a whole number from 0, or the pin is not a whole number.
    """

    amounts: Mapping[str, int] = field(default_factory=lambda: {HANDS: 1})
    hours: str | None = None
    pin: int | None = None

    def __post_init__(self) -> None:
        for name, amount in self.amounts.items():
            if type(amount) is not int or amount < 0:
                raise BadValue(f"{name}: an amount must be a whole number from 0, not {amount!r}")
        if self.pin is not None and type(self.pin) is not int:
            raise BadValue(f"a pin must be whole minutes, not {self.pin!r}")


_USUAL = Need()


@dataclass(frozen=True)
class HandsProblem:
    """A network and what it has to be done with.

    Parameters
    ----------
    tasks, links, calendar, now
        As for `schedule`.
    needs
        By task id; who is not named needs one pair of hands in the shop's hours.
    capacities
        How many there are of each thing that is needed; one pair of hands if nothing is said.
    hours
        The hours that needs name.
    in_order
        Tasks that must start in this order; only those not yet started count.

    Raises
    ------
    DuplicateTask, UnknownTask
        If an id is there twice, or named and not there.
    BadValue
        If a need names hours or a thing that is not given.
    """

    tasks: Sequence[Task]
    links: Sequence[Link]
    calendar: Calendar
    now: int
    needs: Mapping[TaskId, Need] = field(default_factory=dict)
    capacities: Mapping[str, Capacity] = field(default_factory=lambda: {HANDS: Capacity(1)})
    hours: Mapping[str, Hours] = field(default_factory=dict)
    in_order: Sequence[TaskId] = ()

    def __post_init__(self) -> None:
        numbers = number(self.tasks)
        for owner, named in (("needs", self.needs), ("in_order", self.in_order)):
            for task_id in named:
                if task_id not in numbers:
                    raise UnknownTask(task_id, f"of {owner}")
        if len(set(self.in_order)) < len(self.in_order):
            raise BadValue("in_order names a task twice")
        for task in self.tasks:
            need = self.need_of(task.id)
            for name in need.amounts:
                if name not in self.capacities:
                    raise BadValue(f"task {task.id} needs {name}, of which no capacity is given")
            if need.hours is not None and need.hours not in self.hours:
                raise BadValue(f"task {task.id} keeps to hours that are not given: {need.hours}")

    def need_of(self, task_id: TaskId) -> Need:
        """What a task needs."""
        return self.needs.get(task_id, _USUAL)

    def order_links(self) -> list[Link]:
        """The fixed order as links from start to start."""
        begun = {task.id for task in self.tasks if (task.started, task.finished) != (None, None)}
        waiting = [task_id for task_id in self.in_order if task_id not in begun]
        return [Link(before, after, LinkKind.SS) for before, after in pairwise(waiting)]


@dataclass(frozen=True, slots=True)
class Place:
    """Where a task lies, in clock minutes.

    Attributes
    ----------
    start, finish, cured
        Actual ones where there are any.
    resume
        Where what is left of the work begins: the start, unless it is started already.
    """

    start: int
    finish: int
    cured: int
    resume: int


@dataclass(frozen=True, slots=True)
class HandsPlan:
    """A plan that the given hands can keep.

    Attributes
    ----------
    now
        The status time that it was made at.
    launch
        When all is finished and cured, in clock minutes; `now` if there is no task.
    places
        `Place` by task id, in the order in which the tasks were given.
    order
        Ids by the start of what is left, unfinished tasks only.
    bound
        A clock minute before which no plan at all can launch.
    proven
        Whether no plan can launch earlier than this one.
    schedules
        How many plans were laid out to find it.
    problems
        What could not be planned as asked, by fixed words: `enough` (never as many as needed; as
        many as there are are planned), `hours` (its hours end too early; planned in the shop's),
        `unbroken` (no stretch is long enough; planned in pieces), `pin` (starts at another time).
    """

    now: int
    launch: int
    places: Mapping[TaskId, Place]
    order: tuple[TaskId, ...]
    bound: int
    proven: bool
    schedules: int
    problems: tuple[Problem, ...] = ()
