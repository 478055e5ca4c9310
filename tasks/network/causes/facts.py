"""What a launch was made of, told so that the hours that it took can be parted from the guess."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from zoneinfo import ZoneInfo

from tasks.network.inputs import Help, Inputs, Limit, TaskNeed, Week
from tasks.network.values import Link, Task

__all__ = ["Facts", "Record", "TaskFacts", "facts_of", "inputs_from", "with_hours_spared"]

DayOff = tuple[dt.date, dt.date, str]


@dataclass(frozen=True, slots=True)
class TaskFacts:
    """One task as it stood.

    Attributes
    ----------
    likely, left, logged
        People-minutes: the guess, what is left of the work, what was worked.
    hands
        Pairs of hands that it takes at once.
    cure
        Elapsed minutes.
    unbroken, started, finished, not_before
        As of `tasks.network.Task`.
    things, limit, pin, turn
        As of `TaskNeed`.
    doing
        A word for who does it. Where it changes, the whole task counts as another one.
    """

    likely: int
    left: int
    logged: int = 0
    hands: int = 1
    cure: int = 0
    unbroken: bool = False
    started: int | None = None
    finished: int | None = None
    not_before: int | None = None
    things: Mapping[int, int] = field(default_factory=dict)
    limit: int | None = None
    pin: int | None = None
    turn: int | None = None
    doing: str = "own"

    @property
    def whole(self) -> int:
        """What it comes to in all, worked and left, in people-minutes.

        Who finishes a task and logs no hours at all is taken to have needed what was guessed.

        >>> TaskFacts(likely=600, left=240, logged=480).whole
        720
        >>> TaskFacts(likely=600, left=0, finished=9).whole
        600
        """
        if self.finished is not None:
            return self.logged or self.likely
        return self.logged + self.left


@dataclass(frozen=True)
class Facts:
    """All that a launch was made of. As `Inputs`, but with each task's work in people-minutes."""

    now: int
    zone: ZoneInfo
    first_day: dt.date
    tasks: Mapping[int, TaskFacts]
    links: tuple[Link, ...]
    week: Week
    days_off: tuple[DayOff, ...] = ()
    hands: int = 1
    help: tuple[Help, ...] = ()
    things: Mapping[int, int] = field(default_factory=dict)
    limits: Mapping[int, Limit] = field(default_factory=dict)
    heated: tuple[tuple[dt.date, dt.date], ...] = ()

    @property
    def today(self) -> dt.date:
        return dt.datetime.fromtimestamp(self.now * 60, self.zone).date()


@dataclass(frozen=True)
class Record:
    """The launch of a day: what it was made of, what came out, and the order that it stood on.

    `launch` is a clock minute; `starts` are those of what is left of each task.
    """

    facts: Facts
    launch: int
    starts: Mapping[int, int]


def facts_of(
    inputs: Inputs,
    work: Mapping[int, tuple[int, int, int]],
    doing: Mapping[int, str] | None = None,
) -> Facts:
    """The facts behind the inputs of an order of work.

    `work` gives likely, left and logged people-minutes by task; `doing` who does it, where that
    is not the builder.
    """
    tasks = {}
    for task in inputs.tasks:
        pk = int(task.id)
        likely, left, logged = work[pk]
        need = inputs.needs.get(pk, TaskNeed())
        tasks[pk] = TaskFacts(
            likely=likely,
            left=left,
            logged=logged,
            hands=need.hands,
            cure=task.cure,
            unbroken=task.unbroken,
            started=task.started,
            finished=task.finished,
            not_before=task.not_before,
            things=need.things,
            limit=need.limit,
            pin=need.pin,
            turn=need.turn,
            doing=(doing or {}).get(pk, "own"),
        )
    return Facts(
        now=inputs.now,
        zone=inputs.zone,
        first_day=inputs.first_day,
        tasks=tasks,
        links=tuple(inputs.links),
        week=inputs.week,
        days_off=tuple(inputs.days_off),
        hands=inputs.hands,
        help=tuple(inputs.help),
        things=inputs.things,
        limits=inputs.limits,
        heated=tuple((first, last) for first, last in inputs.heated),
    )


def inputs_from(facts: Facts) -> Inputs:
    """The facts as the planner takes them."""
    return Inputs(
        tasks=[_task(pk, task) for pk, task in facts.tasks.items()],
        links=facts.links,
        now=facts.now,
        zone=facts.zone,
        first_day=facts.first_day,
        week=facts.week,
        days_off=facts.days_off,
        hands=facts.hands,
        help=facts.help,
        things=facts.things,
        limits=facts.limits,
        heated=facts.heated,
        needs={
            pk: TaskNeed(
                hands=task.hands,
                # Of what there is no more at all, nothing can be held.
                things={row: n for row, n in task.things.items() if row in facts.things},
                limit=task.limit,
                pin=task.pin,
                turn=task.turn,
            )
            for pk, task in facts.tasks.items()
        },
    )


def _task(pk: int, task: TaskFacts) -> Task:
    return Task(
        id=pk,
        minutes=-(-task.likely // task.hands),
        cure=task.cure,
        unbroken=task.unbroken,
        started=task.started,
        finished=task.finished,
        left=-(-task.left // task.hands),
        not_before=task.not_before,
    )


def with_hours_spared(
    tasks: Mapping[int, TaskFacts], minutes: int, order: Iterable[int]
) -> dict[int, TaskFacts]:
    """The tasks as if so many more people-minutes had gone into the next of them in an order."""
    spared = dict(tasks)
    for pk in order:
        task = spared.get(pk)
        if minutes <= 0:
            break
        if task is None or task.finished is not None:
            continue
        taken = min(minutes, task.left)
        minutes -= taken
        if taken:
            spared[pk] = replace(task, left=task.left - taken)
    return spared
