"""The log as rows of a list: one for each stretch of hours, and for each task written about."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from django.db.models import Model

from buildlog.journal.models import Entry
from tasks.models import Build, Task, Work

__all__ = ["LogRow", "log_rows"]


@dataclass(slots=True)
class LogRow:
    """`entry` is None for hours nobody wrote a word about, `work` for words without hours."""

    day: dt.date
    entry: Entry | None
    task: Task | None
    work: Work | None


def log_rows(build: Build) -> Iterator[LogRow]:
    """Every row, by day, entries before bare hours. Five queries; a clock that is still running
    is no hours yet."""
    # The ties are read whole: prefetching by ten thousand keys is more than SQLite parses.
    tasks = {task.pk: task for task in build.tasks.all()}
    worked = build.work.filter(minutes__isnull=False).order_by("pk")
    works = {work.pk: work for work in worked}
    for work in works.values():
        work.task = tasks.get(work.task_id) if work.task_id else None
    told, by = (
        _ties(build, Entry.tasks.through, "task_id"),
        _ties(build, Entry.work.through, "work_id"),
    )
    rows: list[LogRow] = []
    written: set[int] = set()
    for entry in build.entries.order_by("day", "pk"):
        mine = [works[pk] for pk in sorted(by.get(entry.pk, ())) if pk in works]
        written.update(work.pk for work in mine)
        about = [tasks[pk] for pk in sorted(told.get(entry.pk, ()))]
        rows += _rows_of(entry, mine, about)
    rows += [LogRow(w.day, None, w.task, w) for w in works.values() if w.pk not in written]
    rows.sort(key=lambda row: row.entry.day if row.entry else row.day)
    yield from rows


def _ties(build: Build, through: type[Model], other: str) -> dict[int, list[int]]:
    ties: dict[int, list[int]] = {}
    pairs = through._default_manager.filter(entry__build=build)
    for entry, key in pairs.values_list("entry_id", other):
        ties.setdefault(entry, []).append(key)
    return ties


def _rows_of(entry: Entry, hours: list[Work], about: list[Task]) -> Iterator[LogRow]:
    told = {work.task_id for work in hours}
    for work in hours:
        yield LogRow(work.day, entry, work.task, work)
    others = [task for task in about if task.pk not in told]
    for task in others:
        yield LogRow(entry.day, entry, task, None)
    if not hours and not others:
        yield LogRow(entry.day, entry, None, None)
