from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping

from buildlog.lists.kinds.base import Value
from buildlog.lists.writing import hours
from tasks.models import Build


def take(build: Build, money: bool) -> Iterator[Mapping[str, Value]]:
    zone = build.zone

    def moment(at: dt.datetime | None) -> str:
        return at.astimezone(zone).isoformat(" ", "minutes") if at else ""

    for task in build.tasks.select_related("stage", "limit"):
        yield {
            "code": task.code,
            "stage": task.stage.name,
            "name": task.name,
            "low": hours(task.low_minutes),
            "likely": hours(task.likely_minutes),
            "high": hours(task.high_minutes),
            "hands": task.hands,
            "unbroken": task.unbroken,
            "cure": hours(task.cure_minutes),
            "not_before": task.not_before,
            "started": moment(task.started_at),
            "finished": moment(task.finished_at),
            "notes": task.notes,
            "work_kind": task.work_kind,
            "limit": task.limit.name if task.limit else "",
            "doing": task.doing,
            "bought_in_days": task.bought_in_days,
            "pinned_at": moment(task.pinned_at),
            "turn": task.turn,
        }
