"""Hours, days and moments as the pages show them: `{% load shoptime %}`."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import template
from django.utils import timezone

from tasks.hours import show_hours

register = template.Library()

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
NOTHING = "–"


def at_the_build(value: dt.datetime) -> dt.datetime:
    """A moment by the build's clock: what comes from the database is in UTC until here."""
    if value.tzinfo is dt.UTC:
        return timezone.localtime(value)
    return value


@register.filter
def hours(minutes: int | None) -> str:
    """`{{ minutes|hours }}`: 210 is “3 h 30”."""
    if minutes is None or minutes == "":
        return NOTHING
    return show_hours(round(minutes))


@register.filter
def day(value: dt.date | dt.datetime | None) -> str:
    """`{{ moment|day }}`: “Sat 14 Nov 2026”."""
    if not value:
        return NOTHING
    if isinstance(value, dt.datetime):
        value = at_the_build(value)
    return f"{DAYS[value.weekday()]} {value.day} {MONTHS[value.month - 1]} {value.year}"


@register.filter
def moment(value: dt.datetime | None) -> str:
    """`{{ moment|moment }}`: “Sat 14 Nov 09:00”; with the year, if it is not this one."""
    if not value:
        return NOTHING
    value = at_the_build(value)
    now = timezone.now().astimezone(value.tzinfo)
    year = "" if value.year == now.year else f" {value.year}"
    date = f"{DAYS[value.weekday()]} {value.day} {MONTHS[value.month - 1]}{year}"
    return f"{date} {value:%H:%M}"


@register.simple_tag
def season(limit: Any) -> str:
    """`{% season limit %}`: “1 May to 30 Sep”; nothing for all the year."""
    if not limit.first_month:
        return ""
    ends = ((limit.first_day, limit.first_month), (limit.last_day, limit.last_month))
    return " to ".join(f"{day} {MONTHS[month - 1]}" for day, month in ends)


@register.filter
def clock(minute_of_day: int | None) -> str:
    """`{{ stretch.start_minute|clock }}`: minute 570 of a day is “09:30”."""
    if minute_of_day is None or minute_of_day == "":
        return NOTHING
    return f"{minute_of_day // 60:02}:{minute_of_day % 60:02}"
