from __future__ import annotations

from collections.abc import Iterator, Mapping

from django.db.models import Max, Sum

from buildlog.lists.kinds.base import Value
from tasks.models import Build


def take(build: Build, money: bool) -> Iterator[Mapping[str, Value]]:
    """What is there of each material that was ever moved, and when it last was."""
    moved = build.materials.filter(moves__isnull=False)
    for material in moved.annotate(there=Sum("moves__quantity"), last=Max("moves__day")):
        yield {
            "material": material.name,
            "counted": material.there,
            "unit": str(material.unit),
            "day": material.last,
            "note": "",
        }
