"""Parts in: known again by name, task and material."""

from __future__ import annotations

from typing import Any

from buildlog.lists.fold import fold_name
from buildlog.lists.kinds.amounts import amount_of
from buildlog.lists.kinds.base import Bringing, settle
from buildlog.lists.kinds.finding import Tasks
from buildlog.lists.kinds.material_names import Materials
from buildlog.lists.records import Record, State
from buildlog.materials.models import Material, Part
from buildlog.units import UnitError
from tasks.models import Task


def check(bringing: Bringing) -> None:
    tasks = Tasks(bringing.build)
    materials = Materials(bringing, "material")
    parts = bringing.build.parts.select_related("material")
    known = {(fold_name(p.name), p.task_id, p.material_id): p for p in parts}
    used: dict[Any, int] = {}
    for record in bringing.records:
        task, material = tasks.of(record, "task"), materials.of(record)
        if record.good and material is not None:
            _settle(record, task, material, known, used, bringing)
    materials.ask()
    bringing.carry = materials
    _say_what_is_taken(bringing)


def _say_what_is_taken(bringing: Bringing) -> None:
    found = bringing.found
    if not found.has("count"):
        bringing.note("No column gives counts, so each part is taken once.")
    if not found.has("task"):
        bringing.note("No column names tasks, so new parts belong to none yet.")
    if any(name.answer.startswith("new:") for name in bringing.names):
        bringing.note(
            "New materials come in with their name and kind only. Give their sizes and prices "
            "under Materials, so that need and cost can be reckoned."
        )


def _settle(
    record: Record,
    task: Task | None,
    material: Material,
    known: dict[Any, Part],
    used: dict[Any, int],
    bringing: Bringing,
) -> None:
    name = record.get("name")
    made_of = material.pk or f"new {fold_name(material.name)}"
    key = (fold_name(name), task.pk if task else None, made_of)
    first = used.setdefault(key, record.number)
    if first != record.number:
        record.refuse(
            "name",
            "used-twice",
            f"Row {first} has that part already: same name, task and material.",
        )
        return
    given = _given(record, material)

    def make() -> Part:
        return Part(build=bringing.build, name=name, task=task, material=material)

    if record.good:
        settle(record, known.get(key), make, given)


def _given(record: Record, material: Material) -> dict[str, tuple[str, Any]]:
    given: dict[str, tuple[str, Any]] = {}
    for field, key in (("length_mm", "length"), ("width_mm", "width"), ("grain", "grain"),
                       ("scarf_ratio", "scarf"), ("allowance_percent", "allowance"),
                       ("notes", "notes")):  # fmt: skip
        if record.has(key):
            given[field] = (key, record.values[key])
    count, handed = record.get("count"), record.get("mirrored", False)
    if record.has("count"):
        given["count"] = ("count", count.number if count else 1)
    if record.has("mirrored") or (count and count.mirrored):
        given["mirrored"] = (
            "mirrored" if record.has("mirrored") else "count",
            handed or bool(count and count.mirrored),
        )
    given |= _thickness(record)
    if record.has("amount"):
        given["quantity"] = ("amount", _amount(record, material))
    return given


def _thickness(record: Record) -> dict[str, tuple[str, Any]]:
    given: dict[str, tuple[str, Any]] = {}
    thickness, layers = record.get("thickness"), record.get("layers")
    if record.has("thickness"):
        given["thickness_mm"] = ("thickness", thickness.each if thickness else None)
    in_thickness = thickness.count if thickness else 1
    if layers and in_thickness > 1 and layers != in_thickness:
        record.refuse("layers", "two-answers",
                      f"The thickness says {in_thickness} layers, this cell {layers}.")  # fmt: skip
    if record.has("layers") or in_thickness > 1:
        given["layers"] = (
            "layers" if record.has("layers") else "thickness",
            layers or in_thickness,
        )
    return given


def _amount(record: Record, material: Material) -> Any:
    some = record.get("amount")
    try:
        return amount_of(some, material) if some else None
    except UnitError as error:
        record.refuse("amount", error.rule, str(error))
        return None


def write(bringing: Bringing) -> None:
    going = bringing.going
    bringing.carry.save_new({id(record.target.material) for record in going})
    new = [record.target for record in going if record.state == State.NEW]
    for part in new:
        part.material = part.material  # takes over the key the material has just got
    changed = [record.target for record in going if record.state == State.CHANGED]
    Part.objects.bulk_create(new, batch_size=500)
    Part.objects.bulk_update(changed, FIELDS, batch_size=200)
    if going:
        bringing.build.touch_books()


FIELDS = ["count", "mirrored", "length_mm", "width_mm", "thickness_mm", "layers", "quantity",
          "scarf_ratio", "grain", "allowance_percent", "notes"]  # fmt: skip
