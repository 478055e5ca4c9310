"""The hours in the shed that lie ahead, in words."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from tasks.hours import show_hours
from tasks.plan import Plan
from tasks.plan_figures import minute_of
from tasks.words import WEEKDAYS, number

FRIDAY = 4
WEEK_MINUTES = 7 * 1440


@dataclass(frozen=True, slots=True)
class ShedHours:
    """`title` names the days meant; `days` pairs each with its shop minutes still to come."""

    title: str
    days: list[tuple[dt.date, int]]

    @property
    def minutes(self) -> int:
        return sum(minutes for _, minutes in self.days)

    @property
    def words(self) -> str:
        """“Ten hours in the shed: Saturday 6, Sunday 4.”"""
        if not self.days:
            return "No hours in the shed in the coming week."
        whole, rest = divmod(self.minutes, 60)
        total = show_hours(self.minutes)
        if not rest:
            total = f"{number(whole)} hour{'' if whole == 1 else 's'}".capitalize()
        named = ", ".join(f"{WEEKDAYS[day.weekday()]} {_short(left)}" for day, left in self.days)
        return f"{total} in the shed: {named}."


def _short(minutes: int) -> str:
    return str(minutes // 60) if minutes % 60 == 0 else show_hours(minutes)


def shed_hours(plan: Plan) -> ShedHours:
    """What is left of this weekend or week; where nothing is, the seven days to come."""
    now = minute_of(plan.now)
    ahead: dict[dt.date, int] = {}
    for start, end in plan.calendar.stretches_between(now, now + WEEK_MINUTES):
        day = plan.moment(start).date()
        ahead[day] = ahead.get(day, 0) + end - start
    today = plan.now.date()
    sunday = today + dt.timedelta(days=6 - today.weekday())
    soon = [(day, minutes) for day, minutes in ahead.items() if day <= sunday]
    weekend = [(day, minutes) for day, minutes in soon if day.weekday() >= FRIDAY]
    if weekend and (len(weekend) == len(soon) or today.weekday() >= FRIDAY):
        return ShedHours("This weekend", weekend)
    if soon:
        return ShedHours("This week", soon)
    return ShedHours("The coming week", list(ahead.items()))
