"""Parts as the list shows them, with what each needs and weighs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q, QuerySet
from django.http import QueryDict

from buildlog.materials import takeoff
from buildlog.materials.models import Part
from buildlog.materials.need import as_part, as_value
from tasks.models import Build


@dataclass(frozen=True, slots=True)
class PartRow:
    part: Part
    need: takeoff.Need | None
    problem: str = ""  # why it cannot be reckoned


def row_of(part: Part) -> PartRow:
    """A part, its material loaded, with its need. No query."""
    try:
        return PartRow(part, takeoff.need_of(as_part(part), as_value(part.material)))
    except takeoff.TakeoffError as error:
        return PartRow(part, None, error.reason)


def rows_of(parts: Iterable[Part]) -> list[PartRow]:
    return [row_of(part) for part in parts]


def find_parts(build: Build, asked: QueryDict) -> QuerySet[Part]:
    """The parts that a query string asks for: `stage`, `task`, `material` by key, `words`."""
    rows = build.parts.select_related("task__stage", "material")
    for name, field in (("stage", "task__stage"), ("material", "material"), ("task", "task")):
        value = asked.get(name, "")
        if value == "none" and name == "task":
            rows = rows.filter(task__isnull=True)
        elif value:
            rows = rows.filter(**{field: int(value)}) if _is_key(value) else rows.none()
    for word in asked.get("words", "").replace("\0", " ").split():
        named = Q(name__icontains=word) | Q(task__code__iexact=word)
        rows = rows.filter(named | Q(material__name__icontains=word) | Q(notes__icontains=word))
    return rows


def _is_key(text: str) -> bool:
    return text.isdecimal() and len(text) < 19
