"""Changes that would move the launch, as plain values: what each does to the order of work.

A change is only a value until it is taken: it changes a copy of the inputs, never a row.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields, replace
from decimal import Decimal
from typing import Any, ClassVar

from tasks.models import Doing
from tasks.network import inputs as values
from tasks.order_values import Help, Inputs, TaskNeed
from tasks.plan import Plan, State

__all__ = [
    "MOVES",
    "BoughtIn",
    "Evening",
    "Heating",
    "Helper",
    "LeftOut",
    "Move",
    "from_row",
    "to_row",
]

#: Who does it for money works full weeks: days by the calendar for hours of work.
THEIR_WEEK_HOURS = 40


@dataclass(frozen=True)
class Move:
    """One change. `sort` names it in addresses and rows; the rest is what it is made of."""

    sort: ClassVar[str]
    #: Whether the plan as it is could still be kept with it, so that it cannot cost days.
    only_more: ClassVar[bool] = True

    def changed(self, inputs: Inputs, plan: Plan) -> Inputs:
        """The inputs with the change made."""
        raise NotImplementedError

    def fits(self, plan: Plan) -> bool:
        """Whether it can be made of the plan as it stands."""
        return True


@dataclass(frozen=True)
class Evening(Move):
    """More shop hours: on a day of the week, from a minute of the day to another."""

    sort = "evening"
    weekday: int
    start: int
    end: int

    def changed(self, inputs: Inputs, plan: Plan) -> Inputs:
        day = sorted([*inputs.week.get(self.weekday, ()), (self.start, self.end)])
        return replace(inputs, week={**inputs.week, self.weekday: day})

    def fits(self, plan: Plan) -> bool:
        return all(
            end <= self.start or start >= self.end for start, end in plan.week.get(self.weekday, ())
        )


@dataclass(frozen=True)
class Helper(Move):
    """Hands that come: every week on a day of the week, or from a day to a day."""

    sort = "helper"
    hands: int
    weekday: int | None = None
    first: dt.date | None = None
    last: dt.date | None = None
    start: int = 0
    end: int = 1440
    who: str = ""

    def changed(self, inputs: Inputs, plan: Plan) -> Inputs:
        last = self.last or (self.first if self.weekday is None else None)
        more = Help(self.hands, self.weekday, self.first, last, self.start, self.end)
        return replace(inputs, help=[*inputs.help, more])


@dataclass(frozen=True)
class Heating(Move):
    """The shed kept warm from a day to a day, both included; `a_month` is what it costs."""

    sort = "heating"
    first: dt.date
    last: dt.date
    a_month: Decimal | None = None

    def changed(self, inputs: Inputs, plan: Plan) -> Inputs:
        return replace(inputs, heated=[*inputs.heated, (self.first, self.last)])


@dataclass(frozen=True)
class BoughtIn(Move):
    """Tasks that others do for money. `days` by the calendar for each; None: by their hours.

    `price` is for all of them, tax and freight included; `with_material`: theirs is in it.
    """

    sort = "bought-in"
    only_more = False
    tasks: tuple[int, ...]
    days: int | None = None
    price: Decimal | None = None
    with_material: bool = False

    def changed(self, inputs: Inputs, plan: Plan) -> Inputs:
        days = self.days_of(plan)
        tasks = [
            values.bought_in(task, days[task.id], inputs.now) if task.id in days else task
            for task in inputs.tasks
        ]
        return replace(inputs, tasks=tasks, needs=_nothing(inputs, self.tasks))

    def days_of(self, plan: Plan) -> dict[Any, int]:
        """Days by the calendar that each task takes."""
        if self.days is not None:
            return dict.fromkeys(self.tasks, self.days)
        return {pk: days_for(plan.tasks[pk].task.minutes) for pk in self.tasks}

    def fits(self, plan: Plan) -> bool:
        return bool(self.tasks) and all(_unbegun(plan, pk) for pk in self.tasks)

    @property
    def doing(self) -> Doing:
        return Doing.BOUGHT_ALL if self.with_material else Doing.BOUGHT_IN


@dataclass(frozen=True)
class LeftOut(Move):
    """A stage of which nothing is begun, left out of the build."""

    sort = "left-out"
    stage: int

    def changed(self, inputs: Inputs, plan: Plan) -> Inputs:
        out = set(self.tasks_of(plan))
        tasks = [values.left_out(task) if task.id in out else task for task in inputs.tasks]
        links = values.without_waits_after(inputs.links, out)
        return replace(inputs, tasks=tasks, links=links, needs=_nothing(inputs, out))

    def tasks_of(self, plan: Plan) -> list[int]:
        """Its tasks that are not left out already."""
        return [
            one.pk
            for one in plan.tasks.values()
            if one.stage_id == self.stage and one.state != State.LEFT_OUT
        ]

    def fits(self, plan: Plan) -> bool:
        tasks = self.tasks_of(plan)
        return bool(tasks) and all(_unbegun(plan, pk, bought=True) for pk in tasks)


MOVES: Mapping[str, type[Move]] = {
    one.sort: one for one in (Evening, Helper, Heating, BoughtIn, LeftOut)
}


def days_for(minutes: int) -> int:
    """Days by the calendar for minutes of work, at full weeks.

    >>> days_for(40 * 60), days_for(60)
    (7, 1)
    """
    return -(-minutes * 7 // (THEIR_WEEK_HOURS * 60))


def to_row(move: Move) -> dict[str, Any]:
    """A change as a row can hold it."""
    held = {}
    for name, value in asdict(move).items():
        held[name] = str(value) if isinstance(value, dt.date | Decimal) else value
    return {"sort": move.sort, **held}


def from_row(held: Mapping[str, Any]) -> Move:
    """The change that a row holds."""
    kind = MOVES[held["sort"]]
    given = {field.name: held[field.name] for field in fields(kind) if field.name in held}
    for name, value in given.items():
        if name in ("first", "last") and value:
            given[name] = dt.date.fromisoformat(value)
        elif name in ("price", "a_month") and value is not None:
            given[name] = Decimal(value)
        elif name == "tasks":
            given[name] = tuple(value)
    return kind(**given)


def _unbegun(plan: Plan, pk: int, *, bought: bool = False) -> bool:
    """Whether nothing of a task is begun; one that is bought in already only if asked for."""
    planned = plan.tasks.get(pk)
    if planned is None or planned.state not in (State.WAITING, State.READY):
        return False
    return not planned.logged_minutes and (bought or planned.task.doing == Doing.OWN)


def _nothing(inputs: Inputs, tasks: Any) -> dict[int, TaskNeed]:
    return {pk: TaskNeed() if pk in tasks else need for pk, need in inputs.needs.items()}
