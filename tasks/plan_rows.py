"""What a plan follows from, read from the tables as plain rows in a fixed number of queries."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.db.models import F, Min, Q, Sum

from tasks.models import Build, DayOff, Link, ShopHours, Stage, Task, Work

__all__ = ["LINK_FIELDS", "STAGE_FIELDS", "TASK_FIELDS", "WORK_FIELDS", "Rows", "read_rows"]

STAGE_FIELDS = tuple(field.attname for field in Stage._meta.concrete_fields)
TASK_FIELDS = tuple(field.attname for field in Task._meta.concrete_fields)
LINK_FIELDS = tuple(field.attname for field in Link._meta.concrete_fields)
WORK_FIELDS = tuple(field.attname for field in Work._meta.concrete_fields)

Row = tuple[Any, ...]


@dataclass(slots=True)
class Rows:
    """Rows as tuples in the order of the `*_FIELDS`; hours as the network's calendar takes them."""

    stages: list[Row]
    tasks: list[Row]
    links: list[Row]
    running: list[Row]
    logged: dict[int, tuple[int, dt.date, dt.datetime | None]]
    since_said: dict[int, float]
    week: dict[int, list[tuple[int, int]]]
    days_off: list[tuple[dt.date, dt.date, str]]


def read_rows(build: Build) -> Rows:
    """Eight queries, whatever the build holds."""
    return Rows(
        stages=list(Stage.objects.filter(build=build).values_list(*STAGE_FIELDS)),
        tasks=list(Task.objects.filter(build=build).values_list(*TASK_FIELDS)),
        links=list(Link.objects.filter(build=build).values_list(*LINK_FIELDS)),
        running=list(
            Work.objects.filter(build=build, minutes=None, task__isnull=False)
            .order_by("started_at", "pk")
            .values_list(*WORK_FIELDS)
        ),
        logged=_logged(build),
        since_said=_logged_since_said(build),
        week=_week(build),
        days_off=list(DayOff.objects.filter(build=build).values_list("first", "last", "reason")),
    )


def _logged(build: Build) -> dict[int, tuple[int, dt.date, dt.datetime | None]]:
    """People-minutes of each task, its first day and its first clock; a running clock adds none."""
    sums = (
        Work.objects.filter(build=build, task__isnull=False)
        .order_by()
        .values("task_id")
        .annotate(total=Sum("minutes", default=0), day=Min("day"), start=Min("started_at"))
        .values_list("task_id", "total", "day", "start")
    )
    return {task: (total, day, start) for task, total, day, start in sums}


def _logged_since_said(build: Build) -> dict[int, float]:
    """People-minutes logged after the builder said what was left of a task.

    A clock that ran while it was said counts with the part of it that came after.
    """
    since: dict[int, float] = {}
    said = F("task__left_said_at")
    rows = (
        Work.objects.filter(build=build, task__left_said_at__isnull=False, minutes__gt=0)
        .filter(Q(started_at=None, made_at__gt=said) | Q(stopped_at__gt=said))
        .order_by()
        .values_list("task_id", "minutes", "started_at", "stopped_at", "task__left_said_at")
    )
    for task, minutes, started, stopped, said_at in rows:
        part = 1.0
        if task is None or minutes is None or said_at is None:
            continue  # the filter lets none of these through
        if started and stopped and started < said_at < stopped:
            part = (stopped - said_at) / (stopped - started)
        since[task] = since.get(task, 0) + minutes * part
    return since


def _week(build: Build) -> dict[int, list[tuple[int, int]]]:
    week: dict[int, list[tuple[int, int]]] = {}
    rows = ShopHours.objects.filter(build=build).values_list(
        "weekday", "start_minute", "end_minute"
    )
    for weekday, start, end in rows:
        week.setdefault(weekday, []).append((start, end))
    return week
