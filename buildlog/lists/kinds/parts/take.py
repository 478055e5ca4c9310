from __future__ import annotations

from collections.abc import Iterator, Mapping

from buildlog.lists.kinds.base import Value
from buildlog.lists.writing import length_cell
from tasks.models import Build


def take(build: Build, money: bool) -> Iterator[Mapping[str, Value]]:
    imperial = build.length_system == Build.LengthSystem.IMPERIAL
    for part in build.parts.select_related("task__stage", "material"):
        yield {
            "name": part.name,
            "task": part.task.code if part.task else "",
            "material": part.material.name,
            "count": part.count,
            "length": length_cell(part.length_mm, imperial),
            "width": length_cell(part.width_mm, imperial),
            "thickness": length_cell(part.thickness_mm, imperial),
            "layers": part.layers,
            "grain": str(part.grain),
            "mirrored": part.mirrored,
            "scarf": part.scarf_ratio,
            "amount": part.quantity,
            "allowance": part.allowance_percent,
            "notes": part.notes,
        }
