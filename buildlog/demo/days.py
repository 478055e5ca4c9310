"""The days of the invented build: which sessions were worked, and on which task.

Fourteen months are filled backwards from today, so that the story always ends now: done tasks
take their hours from the sessions that were kept, in the order of the plan.
"""

from __future__ import annotations

import datetime as dt
import random
from collections.abc import Iterator
from dataclasses import dataclass

from buildlog.demo.plan import DONE_THROUGH, IN_HAND, TASKS, DemoTask

MONTHS_BACK = 425  # days
# Weekday -> start hour and length of the session, as the shop hours have it.
WEEK = {1: (19.0, 2.5), 3: (19.0, 2.5), 5: (9.0, 8.0), 6: (10.0, 4.0)}
AWAY = ((330, 318), (140, 128))  # days ago: two holidays


@dataclass(frozen=True, slots=True)
class Session:
    """A stretch of work of one day on one task, by the builder or with a helper."""

    day: dt.date
    start_hour: float
    minutes: int
    task: DemoTask
    first: bool  # the task starts with it
    last: bool  # and is finished with it


def done_tasks() -> list[DemoTask]:
    names = [task.code for task in TASKS]
    return TASKS[: names.index(DONE_THROUGH) + 1]


def _slots(
    today: dt.date, chooser: random.Random, share: float
) -> Iterator[tuple[dt.date, float, int]]:
    """Sessions kept: day, start hour, minutes, oldest first, none on the last two days."""
    for ago in range(MONTHS_BACK, 2, -1):
        day = today - dt.timedelta(days=ago)
        if day.weekday() not in WEEK or any(a >= ago >= b for a, b in AWAY):
            continue
        if chooser.random() < share:
            start, hours = WEEK[day.weekday()]
            yield day, start, round(hours * 60)


def sessions(today: dt.date) -> list[Session]:
    """All sessions up to today, the same every time for the same day."""
    work = [(task, round(task.hours[1] * task.worked * 60), True) for task in done_tasks()]
    by_code = {task.code: task for task in TASKS}
    work += [
        (by_code[code], round(by_code[code].hours[1] * share * 60), False)
        for code, share in IN_HAND.items()
    ]
    wanted = sum(-(-minutes // task.hands) for task, minutes, _ in work)
    full = sum(minutes for _, _, minutes in _slots(today, random.Random(1), 2.0))  # noqa: S311
    share = wanted / full * 1.02
    while share < 2:
        slots = list(_slots(today, random.Random(14), share))  # noqa: S311
        told = _tell(work, slots)
        if told is not None:
            return told
        share *= 1.03
    raise AssertionError("The done tasks do not fit into the sessions of these months.")


def _tell(
    work: list[tuple[DemoTask, int, bool]], slots: list[tuple[dt.date, float, int]]
) -> list[Session] | None:
    """Lay the work into the slots; None if they are too few. An unbroken task has its own day."""
    told: list[Session] = []
    slots = list(slots)
    for task, people_minutes, finishes in work:
        left = -(-people_minutes // task.hands)
        first = True
        while left > 0:
            place = 0
            if task.unbroken:
                place = next((n for n, slot in enumerate(slots) if slot[2] >= left), -1)
                if place < 0:
                    return None
            if not slots:
                return None
            day, start, minutes = slots[place]
            used = min(left, minutes)
            rest = minutes - used
            left -= used
            told.append(Session(day, start, used, task, first, finishes and left <= 0))
            first = False
            if task.unbroken or rest < 45:
                del slots[place]
            else:
                slots[place] = (day, start + used / 60, rest)
    told.sort(key=lambda one: (one.day, one.start_hour))
    return told
