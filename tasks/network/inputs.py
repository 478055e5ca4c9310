"""All that an order of work is made of, as plain values, and the problem that it poses.

Weeks and days go by the wall clock of a zone; the rest is in the units of `tasks.network`.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from zoneinfo import ZoneInfo

from tasks.network import hands
from tasks.network.calendar import Calendar
from tasks.network.values import Link, Task
from tasks.network.week import DAY

__all__ = [
    "Help",
    "Inputs",
    "Limit",
    "TaskNeed",
    "Week",
    "bought_in",
    "left_out",
    "problem_of",
    "week_calendar",
    "without_waits_after",
]

EVERY_DAY = range(7)
#: Stretches of each weekday, Monday 0, in minutes of the day.
Week = Mapping[int, Sequence[tuple[int, int]]]


@dataclass(frozen=True, slots=True)
class Help:
    """Hands that come: on one weekday or (None) on every day, from a day to a day if given."""

    hands: int
    weekday: int | None = None
    first: dt.date | None = None
    last: dt.date | None = None
    start: int = 0
    end: int = 1440


@dataclass(frozen=True, slots=True)
class Limit:
    """Minutes of the day, and (month, day) to (month, day) of the year, to which work keeps."""

    start: int
    end: int
    first: tuple[int, int] | None = None
    last: tuple[int, int] | None = None
    lifted_by: int | None = None


@dataclass(frozen=True, slots=True)
class TaskNeed:
    """What one task holds, keeps to, and where the builder wants it."""

    hands: int = 1
    things: Mapping[int, int] = field(default_factory=dict)
    limit: int | None = None
    pin: int | None = None
    turn: int | None = None


@dataclass(frozen=True)
class Inputs:
    """All that an order of work is made of. Change a copy to see what would be if…

    `now` is a clock minute; `things` and `limits` go by their rows' numbers, `needs` by the
    task's. `heated` pairs first and last days on which no season holds.
    """

    tasks: Sequence[Task]
    links: Sequence[Link]
    now: int
    zone: ZoneInfo
    first_day: dt.date
    week: Week
    days_off: Sequence[tuple[dt.date, dt.date, str]]
    hands: int
    help: Sequence[Help]
    things: Mapping[int, int]
    limits: Mapping[int, Limit]
    needs: Mapping[int, TaskNeed]
    heated: Sequence[tuple[dt.date, dt.date]] = ()


def bought_in(task: Task, days: int, now: int) -> Task:
    """A task that others do: none of our hours, but days by the calendar before its own cure.

    The days run from its start; of what is in hand those are left that have not passed.
    """
    wait = 0
    if task.finished is None:
        gone = 0 if task.started is None else max(now - task.started, 0)
        wait = max(days * DAY - gone, 0)
    left = None if task.left is None else 0
    return replace(task, minutes=0, left=left, cure=task.cure + wait, unbroken=False)


def left_out(task: Task) -> Task:
    """A task that is not done at all: a point in time, so that what it waited for still holds."""
    left = None if task.left is None else 0
    return replace(task, minutes=0, left=left, cure=0, unbroken=False, not_before=None)


def without_waits_after(links: Iterable[Link], tasks: Collection[int]) -> list[Link]:
    """The links, those after these tasks without the wait that their work would have asked for."""
    return [replace(link, lag=0) if link.before in tasks else link for link in links]


def week_calendar(
    week: Week,
    days_off: Iterable[tuple[dt.date, dt.date, str]],
    zone: ZoneInfo,
    first_day: dt.date,
) -> Calendar:
    """A week's pattern from a day on, less days off."""
    off = {
        first + dt.timedelta(days)
        for first, last, _reason in days_off
        for days in range((last - first).days + 1)
    }
    last_day = first_day + dt.timedelta(days=3 * 366)
    return Calendar.from_week(week, zone.key, off, first_day, last_day)


def problem_of(inputs: Inputs) -> hands.HandsProblem:
    """The values that `plan_hands` takes."""
    shop = week_calendar(
        {day: list(stretches) for day, stretches in inputs.week.items()},
        inputs.days_off,
        inputs.zone,
        inputs.first_day,
    )
    hours = {
        f"limit-{pk}": hands.Both(shop, _limited(limit, inputs))
        for pk, limit in inputs.limits.items()
    }
    capacities = {
        hands.HANDS: hands.Capacity(
            inputs.hands,
            tuple(hands.Booking(one.hands, _help_hours(one, inputs)) for one in inputs.help),
        )
    }
    capacities |= {f"thing-{pk}": hands.Capacity(count) for pk, count in inputs.things.items()}
    turns = sorted(
        (need.turn, task) for task, need in inputs.needs.items() if need.turn is not None
    )
    return hands.HandsProblem(
        tasks=inputs.tasks,
        links=inputs.links,
        calendar=shop,
        now=inputs.now,
        needs={task: _need(need, inputs) for task, need in inputs.needs.items()},
        capacities=capacities,
        hours=hours,
        in_order=[task for _turn, task in turns],
    )


def _need(need: TaskNeed, inputs: Inputs) -> hands.Need:
    limit = inputs.limits.get(need.limit) if need.limit is not None else None
    lifted = limit is not None and limit.lifted_by in need.things
    return hands.Need(
        amounts={hands.HANDS: need.hands}
        | {f"thing-{pk}": count for pk, count in need.things.items()},
        hours=f"limit-{need.limit}" if limit is not None and not lifted else None,
        pin=need.pin,
    )


def _limited(limit: Limit, inputs: Inputs) -> hands.Hours:
    days: hands.Hours = _daily(EVERY_DAY, limit.start, limit.end, inputs)
    if limit.first is None or limit.last is None:
        return days
    season: hands.Hours = hands.Season(limit.first, limit.last, inputs.zone.key)
    if inputs.heated:
        season = hands.Either((season, *(_span(*days, inputs.zone) for days in inputs.heated)))
    return hands.Both(days, season)


def _help_hours(one: Help, inputs: Inputs) -> hands.Hours:
    weekdays = EVERY_DAY if one.weekday is None else [one.weekday]
    days: hands.Hours = _daily(weekdays, one.start, one.end, inputs)
    if one.first is None and one.last is None:
        return days
    begin = _midnight(one.first or inputs.first_day, inputs.zone)
    end = _midnight((one.last or dt.date(9000, 1, 1)) + dt.timedelta(days=1), inputs.zone)
    return hands.Both(days, hands.Span(begin, max(end, begin + 1)))


def _span(first: dt.date, last: dt.date, zone: ZoneInfo) -> hands.Span:
    return hands.Span(_midnight(first, zone), _midnight(last + dt.timedelta(days=1), zone))


def _daily(weekdays: Sequence[int], start: int, end: int, inputs: Inputs) -> Calendar:
    week = {weekday: [(start, end)] for weekday in weekdays}
    return week_calendar(week, [], inputs.zone, inputs.first_day)


def _midnight(day: dt.date, zone: ZoneInfo) -> int:
    return int(dt.datetime.combine(day, dt.time(), zone).timestamp() // 60)
