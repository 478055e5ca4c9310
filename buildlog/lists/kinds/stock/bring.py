"""Counts of stock in. A count that is in already, same material, day and amount, is not counted
again, so an old list brought twice does not undo what was used since."""

from __future__ import annotations

from typing import Any

from buildlog.lists.kinds.amounts import amount_of, unit_of_word
from buildlog.lists.kinds.base import Bringing
from buildlog.lists.kinds.material_names import Materials
from buildlog.lists.records import Record, State
from buildlog.materials.models import ZERO, Material, StockMove
from buildlog.materials.stock import count_stock, stock_of
from buildlog.units import UnitError


def check(bringing: Bringing) -> None:
    materials = Materials(bringing, "material")
    counts = StockMove.objects.filter(build=bringing.build, kind=StockMove.Kind.COUNTED)
    counted = set(counts.values_list("material_id", "day", "counted"))
    stock = stock_of(bringing.build)
    used: dict[Any, int] = {}
    for record in bringing.records:
        some = record.get("counted")
        unit = record.get("unit") or (some.unit if some else "")
        material = materials.of(record, unit_of_word(unit))
        if record.good and material is not None:
            first = used.setdefault(id(material), record.number)
            if first == record.number:
                _settle(record, material, counted, stock, bringing)
            else:
                record.refuse(
                    "material", "used-twice", f"Row {first} counts that material already."
                )
    materials.ask()
    bringing.carry = materials
    if not bringing.found.has("day"):
        bringing.note(f"No column dates the counts, so they are of today, {bringing.today}.")


def _settle(
    record: Record, material: Material, counted: set[Any], stock: dict[int, Any], bringing: Bringing
) -> None:
    try:
        amount = amount_of(record.get("counted"), material, record.get("unit", ""))
    except UnitError as error:
        record.refuse("unit" if record.has("unit") else "counted", error.rule, str(error))
        return
    day = record.get("day", bringing.today)
    record.target = (material, amount, day)
    if (material.pk, day, amount) in counted or (
        material.pk in stock and stock[material.pk] == amount
    ):
        record.outcome = State.UNCHANGED
    else:
        record.outcome = State.CHANGED if material.pk in stock else State.NEW
        record.changes = ["counted"]
        if material.pk not in stock and amount == ZERO:
            record.outcome = State.UNCHANGED


def write(bringing: Bringing) -> None:
    going = bringing.going
    bringing.carry.save_new({id(record.target[0]) for record in going})
    for record in going:
        material, amount, day = record.target
        count_stock(material, amount, day, bringing.person, record.get("note", ""))
