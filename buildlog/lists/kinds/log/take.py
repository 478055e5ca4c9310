from __future__ import annotations

from collections.abc import Iterator, Mapping

from buildlog.lists.kinds.base import Value
from buildlog.lists.kinds.log.rows import log_rows
from buildlog.lists.writing import hours
from tasks.models import Build


def take(build: Build, money: bool) -> Iterator[Mapping[str, Value]]:
    for row in log_rows(build):
        entry, work = row.entry, row.work
        yield {
            "day": row.day,
            "task": row.task.code if row.task else "",
            "person": work.who if work else "",
            "hours": hours(work.minutes or 0) if work else None,
            "air": entry.air_c if entry else None,
            "surface": entry.surface_c if entry else None,
            "humidity": entry.humidity if entry else None,
            "text": entry.text if entry else "",
        }
