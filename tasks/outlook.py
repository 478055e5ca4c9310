"""What a forecast is made of: what is left of each task, and the builder's own record."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Sum

from tasks.models import Build, Work
from tasks.network import Estimate, TaskId
from tasks.plan import Plan, State, TaskPlan
from tasks.plan_figures import minute_of

__all__ = ["DoneTask", "WorkedWeek", "done_tasks", "left_of", "worked_weeks"]

WEEK = dt.timedelta(days=7)
#: A task whose hours are used up and that is not finished still takes this part of its estimate.
STILL_TO_COME = 0.1


@dataclass(frozen=True, slots=True)
class DoneTask:
    """A finished task: what was guessed and what it took, in people-minutes."""

    kind: str
    low: int
    likely: int
    high: int
    actual: int


@dataclass(frozen=True, slots=True)
class WorkedWeek:
    """A week: shop minutes of the pattern less days off, and minutes really worked."""

    monday: dt.date
    pattern: int
    worked: int


def left_of(plan: Plan) -> dict[TaskId, Estimate]:
    """Low, likely and high shop minutes of what is left of each unfinished task."""
    return {
        planned.pk: _left(planned)
        for planned in plan.in_state(State.WAITING, State.READY, State.IN_HAND)
    }


def _left(planned: TaskPlan) -> Estimate:
    """The estimate, scaled to what is left; where the hours are used up, what may still come."""
    task, left = planned.task, planned.figures.left
    ends: tuple[float, float, float]
    if task.likely_minutes and left:
        part = left / task.likely_minutes
        ends = (task.low_minutes * part, left, task.high_minutes * part)
    else:
        rest = max(task.high_minutes - planned.figures.logged, 0)
        if planned.state != State.IN_HAND:
            rest = 0
        likely = task.likely_minutes * STILL_TO_COME if planned.state == State.IN_HAND else 0
        ends = (0, min(likely, max(rest, likely)), max(rest, likely))
    low, likely_left, high = (-(-round(minutes) // task.hands) for minutes in ends)
    return Estimate(min(low, likely_left), likely_left, max(high, likely_left))


def done_tasks(plan: Plan) -> list[DoneTask]:
    """Every finished task whose hours were logged and guessed."""
    return [
        DoneTask(
            kind=planned.task.sort_of_work,
            low=planned.task.low_minutes,
            likely=planned.task.likely_minutes,
            high=planned.task.high_minutes,
            actual=planned.figures.logged,
        )
        for planned in plan.in_state(State.DONE, State.CURING)
        if planned.task.likely_minutes and planned.figures.logged
    ]


def worked_weeks(build: Build, plan: Plan, most: int = 104) -> list[WorkedWeek]:
    """The whole weeks of the last two years, from the first that was logged. One query.

    What counts as worked is the builder's own: of whoever logged most.
    """
    this_monday = plan.now.date() - dt.timedelta(days=plan.now.weekday())
    since = this_monday - most * WEEK
    logged: dict[str, dict[dt.date, int]] = defaultdict(lambda: defaultdict(int))
    rows = (
        Work.objects.filter(build=build, minutes__gt=0, day__gte=since, day__lt=this_monday)
        .order_by()
        .values_list("who", "day")
        .annotate(total=Sum("minutes", default=0))
    )
    for who, day, total in rows:
        logged[who][day - dt.timedelta(days=day.weekday())] += total
    if not logged:
        return []
    builder = max(logged.values(), key=lambda weeks: sum(weeks.values()))
    monday, weeks = min(builder), []
    while monday < this_monday:
        weeks.append(WorkedWeek(monday, _pattern(plan, monday), builder.get(monday, 0)))
        monday += WEEK
    return weeks


def _pattern(plan: Plan, monday: dt.date) -> int:
    first, last = (
        plan.calendar.shop_at(minute_of(dt.datetime.combine(day, dt.time(), plan.zone)))
        for day in (monday, monday + WEEK)
    )
    return last - first
