"""From a plan to the plain values that the drawing room draws bars of."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_right
from collections.abc import Collection, Iterable, Sequence

from django.db.models import Sum

from buildlog.drawing.plan_bars import Bar, StageBars, WeekHours
from tasks.hours import show_hours
from tasks.models import Build, Stage, Work
from tasks.plan import Plan, State, TaskPlan
from tasks.plan_figures import minute_of
from tasks.words import float_words

DAY = dt.timedelta(days=1)
WEEK = 7 * DAY


def bar_of(planned: TaskPlan, name: str = "", href: str = "", note: str = "") -> Bar:
    """One task as a bar."""
    figures = planned.figures
    cure = planned.cured - planned.early_finish
    critical = figures.critical and figures.state not in (State.DONE, State.CURING)
    whole = figures.logged + figures.left
    return Bar(
        name=name,
        href=href,
        start=planned.early_start,
        finish=planned.early_finish,
        cured=planned.cured,
        latest=planned.cured if critical else planned.late_finish + cure,
        critical=critical,
        done=figures.state == State.DONE,
        worked=figures.logged / whole if whole and figures.state == State.IN_HAND else 0.0,
        note=note,
    )


def bar_words(planned: TaskPlan) -> str:
    """What a bar says to someone who does not see it: the same as its row in the list."""
    figures = planned.figures
    said = [
        figures.state,
        f"{planned.early_start:%-d %b %Y} to {planned.early_finish:%-d %b %Y}",
    ]
    if figures.state not in (State.DONE, State.CURING):
        said += [f"{show_hours(figures.left)} left", float_words(planned).lower()]
    return ", ".join(said)


def stage_bars(
    groups: Iterable[tuple[Stage, Sequence[TaskPlan]]],
    open_stages: Collection[int],
    task_url: str,
) -> list[StageBars]:
    """The stages that have tasks. `task_url` is an address with a 0 where a task's number goes."""
    before, _, after = task_url.rpartition("0")
    return [
        StageBars(
            name=stage.name,
            bars=[
                bar_of(one, one.task.name, f"{before}{one.pk}{after}", bar_words(one))
                for one in tasks
            ]
            if stage.pk in open_stages
            else [bar_of(one) for one in tasks],  # their names are not shown
            open=stage.pk in open_stages,
        )
        for stage, tasks in groups
        if tasks
    ]


def monday_of(day: dt.date) -> dt.date:
    return day - dt.timedelta(days=day.weekday())


def hours_by_week(build: Build, plan: Plan, first: dt.date, last: dt.date) -> list[WeekHours]:
    """People-hours of each week: worked ones till now, from now what the early dates lay there.

    One query. A task's hours are spread over the shop hours between its early dates.
    """
    begin = monday_of(first)
    count = max((last - begin).days // 7 + 1, 1)
    mondays = [begin + n * WEEK for n in range(count)]
    edges = [_midnight(plan, day) for day in [*mondays, begin + count * WEEK]]
    shop = [plan.calendar.shop_at(edge) for edge in edges]
    minutes = _worked(build, begin, mondays)
    now = minute_of(plan.now)
    shop_now = plan.calendar.shop_at(now)
    for planned in plan.in_state(State.WAITING, State.READY, State.IN_HAND):
        _spread(planned, plan, shop, shop_now, minutes)
    return [
        WeekHours(
            monday=monday,
            hours=minutes[place] / 60,
            shop=(shop[place + 1] - shop[place]) / 60,
            past=edges[place + 1] <= now,
        )
        for place, monday in enumerate(mondays)
    ]


def _midnight(plan: Plan, day: dt.date) -> int:
    return minute_of(dt.datetime.combine(day, dt.time(), plan.zone))


def _worked(build: Build, begin: dt.date, mondays: list[dt.date]) -> list[float]:
    minutes = [0.0] * len(mondays)
    days = (
        Work.objects.filter(build=build, day__gte=begin, day__lt=mondays[-1] + WEEK)
        .order_by()
        .values_list("day")
        .annotate(total=Sum("minutes", default=0))
    )
    for day, total in days:
        minutes[(day - begin).days // 7] += total
    return minutes


def _spread(
    planned: TaskPlan, plan: Plan, shop: list[int], shop_now: int, minutes: list[float]
) -> None:
    """Lay what is left of a task into the weeks between its early dates."""
    figures = planned.figures
    start = max(plan.calendar.shop_at(figures.early_start), shop_now)
    finish = plan.calendar.shop_at(figures.early_finish)
    if finish <= start or not figures.left:
        return
    each = figures.left / (finish - start)
    for place in range(max(bisect_right(shop, start) - 1, 0), len(minutes)):
        if shop[place] >= finish:
            break
        inside = min(shop[place + 1], finish) - max(shop[place], start)
        if inside > 0:
            minutes[place] += inside * each
