"""From a plan to the plain values that the drawing room draws bars of."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_right
from collections.abc import Collection, Iterable, Sequence

from django.db.models import Sum

from buildlog.desk.plan_timing import Timing
from buildlog.drawing.plan_bars import Bar, StageBars, WeekHours
from tasks.hours import show_hours
from tasks.models import Build, Stage, Work
from tasks.order_room import there_between
from tasks.plan import Plan, State, TaskPlan
from tasks.plan_figures import minute_of

DAY = dt.timedelta(days=1)
WEEK = 7 * DAY


def bar_of(
    timing: Timing, planned: TaskPlan, name: str = "", href: str = "", note: str = ""
) -> Bar:
    """One task as a bar."""
    figures, dates = planned.figures, timing.of(planned)
    whole = figures.logged + figures.left
    return Bar(
        name=name,
        href=href,
        start=dates.start,
        finish=dates.finish,
        cured=dates.cured,
        latest=dates.latest,
        critical=dates.critical,
        done=figures.state == State.DONE,
        worked=figures.logged / whole if whole and figures.state == State.IN_HAND else 0.0,
        note=note,
        pinned=timing.is_pinned(planned),
        earlier=timing.earlier.get(planned.pk),
        key=str(planned.pk) if name else "",
        moves=_moves(planned),
    )


def _moves(planned: TaskPlan) -> str:
    """What is begun stays where it began; what is done stays as it is."""
    task = planned.task
    if task.finished_at:
        return ""
    end = "end" if task.left_minutes is None else ""
    return end if task.started_at else f"start {end}".strip()


def bar_words(timing: Timing, planned: TaskPlan) -> str:
    """What a bar says to someone who does not see it: the same as its row in the table."""
    figures, dates = planned.figures, timing.of(planned)
    said = [figures.state, f"{dates.start:%-d %b %Y} to {dates.finish:%-d %b %Y}"]
    if figures.state not in (State.DONE, State.CURING):
        said.append(f"{show_hours(figures.left)} left")
        if dates.room:
            said.append(dates.room.lower())
        if timing.is_pinned(planned):
            said.append("pinned")
    return ", ".join(said)


def stage_bars(
    timing: Timing,
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
                bar_of(
                    timing, one, one.task.name, f"{before}{one.pk}{after}", bar_words(timing, one)
                )
                for one in tasks
            ]
            if stage.pk in open_stages
            else [bar_of(timing, one) for one in tasks],  # their names are not shown
            open=stage.pk in open_stages,
        )
        for stage, tasks in groups
        if tasks
    ]


def monday_of(day: dt.date) -> dt.date:
    return day - dt.timedelta(days=day.weekday())


def hours_by_week(build: Build, timing: Timing, first: dt.date, last: dt.date) -> list[WeekHours]:
    """People-hours of each week: worked ones till now, from now what the plan lays there.

    One query. Beside them stand the hours of the hands that are there in the shop hours.
    """
    plan = timing.plan
    begin = monday_of(first)
    count = max((last - begin).days // 7 + 1, 1)
    mondays = [begin + n * WEEK for n in range(count)]
    edges = [_midnight(plan, day) for day in [*mondays, begin + count * WEEK]]
    there = there_between(timing.levels, plan, edges)
    minutes = _worked(build, begin, mondays)
    now = minute_of(plan.now)
    shop = [plan.calendar.shop_at(edge) for edge in edges]
    for planned in plan.in_state(State.WAITING, State.READY, State.IN_HAND):
        pieces = timing.pieces(planned)
        if pieces is None:
            _spread(timing, planned, shop, plan.calendar.shop_at(now), minutes)
        else:
            _lay(pieces, planned.task.hands, edges, minutes)
    return [
        WeekHours(
            monday=monday,
            hours=minutes[place] / 60,
            there=there[place] / 60,
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


def _lay(
    pieces: Iterable[tuple[int, int]], hands: int, edges: list[int], minutes: list[float]
) -> None:
    """Lay the stretches in which a task is worked on into the weeks; none is longer than a week."""
    for start, end in pieces:
        place = bisect_right(edges, start) - 1
        while start < end and place < len(minutes):
            stop = min(end, edges[place + 1])
            if place >= 0:
                minutes[place] += (stop - start) * hands
            start, place = max(stop, start), place + 1


def _spread(
    timing: Timing, planned: TaskPlan, shop: list[int], shop_now: int, minutes: list[float]
) -> None:
    """Lay what is left of a task evenly into the shop hours between its dates."""
    calendar, left = timing.plan.calendar, planned.figures.left
    dates = timing.of(planned)
    start = max(calendar.shop_at(minute_of(dates.start)), shop_now)
    finish = calendar.shop_at(minute_of(dates.finish))
    if finish <= start or not left:
        return
    each = left / (finish - start)
    for place in range(max(bisect_right(shop, start) - 1, 0), len(minutes)):
        if shop[place] >= finish:
            break
        inside = min(shop[place + 1], finish) - max(shop[place], start)
        if inside > 0:
            minutes[place] += inside * each
