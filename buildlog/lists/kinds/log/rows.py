"""The log as rows of a list: one for each stretch of hours, and for each task written about."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

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
    """Every row, by day, entries before bare hours. A fixed number of queries; a clock that is
    still running is no hours yet."""
    entries = build.entries.prefetch_related("tasks", "work__task").order_by("day", "pk")
    bare = build.work.filter(entries__isnull=True, minutes__isnull=False).select_related("task")
    rows: list[tuple[dt.date, LogRow]] = []
    for entry in entries:
        rows += [(entry.day, row) for row in _rows_of(entry)]
    rows += [(work.day, LogRow(work.day, None, work.task, work)) for work in bare.order_by("pk")]
    rows.sort(key=lambda row: row[0])
    for _, row in rows:
        yield row


def _rows_of(entry: Entry) -> Iterator[LogRow]:
    hours = sorted((w for w in entry.work.all() if w.minutes is not None), key=lambda w: w.pk)
    told = {work.task_id for work in hours}
    for work in hours:
        yield LogRow(work.day, entry, work.task, work)
    others = sorted((t for t in entry.tasks.all() if t.pk not in told), key=lambda t: t.pk)
    for task in others:
        yield LogRow(entry.day, entry, task, None)
    if not hours and not others:
        yield LogRow(entry.day, entry, None, None)
