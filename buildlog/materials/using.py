"""Material used by a task: proposed when it is finished, confirmed by the builder, given back."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from decimal import Decimal
from math import ceil

from django.db import transaction
from django.db.models import Sum

from buildlog.materials import takeoff
from buildlog.materials.amounts import LEDGER
from buildlog.materials.models import ZERO, Material, StockMove
from buildlog.materials.need import as_part, as_value
from tasks.models import Act, Task


@dataclass(frozen=True, slots=True)
class Use:
    """An amount of a material that a task used up, in the material's unit."""

    material: Material
    amount: Decimal


def use_for(task: Task) -> list[Use]:
    """What finishing the task should take from stock: the gross need of its parts.

    What was taken for it already is not proposed again; counted things go by the whole one.
    """
    parts = list(task.parts.select_related("material"))
    materials: dict[Hashable, Material] = {part.material_id: part.material for part in parts}
    taken = takeoff.take_off(
        [as_value(material) for material in materials.values()], [as_part(part) for part in parts]
    )
    moves = task.stock_moves.order_by().values("material_id").annotate(sum=Sum("quantity"))
    used: dict[Hashable, Decimal] = {row["material_id"]: -row["sum"] for row in moves}
    uses = []
    for key, need in taken.materials.items():
        left = (need.gross - used.get(key, ZERO)).quantize(LEDGER)
        if materials[key].unit == Material.Unit.EACH:
            left = Decimal(ceil(left))
        if left > 0:
            uses.append(Use(materials[key], left))
    return sorted(uses, key=lambda use: use.material.name)


@transaction.atomic
def record_use(act: Act, uses: Iterable[Use]) -> list[StockMove]:
    """Write what a finish used into the ledger, tied to it so that undo can give it back.

    Once for an act: a second click on Finish, which gets the same act, writes nothing more.
    """
    Act.objects.select_for_update().get(pk=act.pk)
    if written := list(act.stock_moves.filter(kind=StockMove.Kind.USED)):
        return written
    day = act.at.astimezone(act.build.zone).date()
    return [
        StockMove.objects.create(
            build_id=act.build_id,
            material=use.material,
            day=day,
            kind=StockMove.Kind.USED,
            quantity=-use.amount,
            task_id=act.task_id,
            act=act,
            person_id=act.person_id,
        )
        for use in uses
        if use.amount
    ]


@transaction.atomic
def put_back(act: Act) -> list[StockMove]:
    """Give back what a finish that is undone had used, by further rows. Twice does no harm."""
    sums = act.stock_moves.order_by().values("material_id").annotate(sum=Sum("quantity"))
    return [
        StockMove.objects.create(
            build_id=act.build_id,
            material_id=row["material_id"],
            day=(act.undone_at or act.at).astimezone(act.build.zone).date(),
            kind=StockMove.Kind.PUT_BACK,
            quantity=-row["sum"],
            task_id=act.task_id,
            act=act,
            person_id=act.person_id,
            note="finish undone",
        )
        for row in sums
        if row["sum"]
    ]
