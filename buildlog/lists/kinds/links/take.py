from __future__ import annotations

from collections.abc import Iterator, Mapping

from buildlog.lists.kinds.base import Value
from buildlog.lists.writing import hours
from tasks.models import Build


def take(build: Build, money: bool) -> Iterator[Mapping[str, Value]]:
    for link in build.links.select_related("before", "after"):
        yield {
            "before": link.before.code,
            "after": link.after.code,
            "kind": str(link.kind),
            "lag": hours(link.lag_minutes),
            "lag_in": str(link.lag_in) if link.lag_minutes else "",
            "waits_for_cure": link.waits_for_cure,
        }
