from __future__ import annotations

from collections.abc import Iterator, Mapping

from buildlog.lists.kinds.base import Value
from buildlog.lists.writing import hours
from tasks.models import Build


def take(build: Build, money: bool) -> Iterator[Mapping[str, Value]]:
    # As bare values: a link with both its tasks is a lot to make for two numbers.
    links = build.links.values_list(
        "before__code", "after__code", "kind", "lag_minutes", "lag_in", "waits_for_cure"
    )
    for before, after, kind, lag, lag_in, waits_for_cure in links:
        yield {
            "before": before,
            "after": after,
            "kind": kind,
            "lag": hours(lag),
            "lag_in": lag_in if lag else "",
            "waits_for_cure": waits_for_cure,
        }
