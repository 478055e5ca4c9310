"""Subjects to be checked, made from as little as possible."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from typing import Any

from tasks.network import Calendar, Link, Task, schedule
from tasks.network.health import Subject

#: Days of the clock with one stretch of 60 shop minutes, as from 9 to 10.
DAY = 1440


def subject(
    tasks: Iterable[Task], links: Iterable[Link] = (), *, now: int = 0, day: int = 1, **more: Any
) -> Subject:
    """One shop minute is one working day, unless the calendar says otherwise."""
    tasks, links = list(tasks), list(links)
    calendar = more.pop("calendar", None) or Calendar.always()
    plan = more.pop("plan", None) or schedule(tasks, links, calendar, now)
    return Subject(tasks, links, plan, calendar, day, **more)


def chain(*ids: str, minutes: int = 5, **lags: int) -> tuple[list[Task], list[Link]]:
    """Tasks one after the other; `b=3` is a lag before b."""
    tasks = [Task(id, minutes) for id in ids]
    links = [Link(a, b, lag=lags.get(b, 0)) for a, b in pairwise(ids)]
    return tasks, links
