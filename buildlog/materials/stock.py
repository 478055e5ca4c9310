"""What is in the shed: sums of the ledger, and the rows that change it."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.db import transaction
from django.db.models import Sum

from buildlog.materials.models import ZERO, Material, PurchaseLine, StockMove
from tasks.changes import Refused
from tasks.models import Build, Person


def stock_of(build: Build) -> dict[int, Decimal]:
    """Material key -> what is in stock, in its unit, where it ever moved. One query."""
    sums = StockMove.objects.filter(build=build).order_by().values("material_id")
    return {row["material_id"]: row["sum"] for row in sums.annotate(sum=Sum("quantity"))}


def on_order(build: Build) -> dict[int, Decimal]:
    """Material key -> what is ordered and not here yet. One query."""
    lines = PurchaseLine.objects.filter(
        purchase__build=build, purchase__arrived_on__isnull=True, material__isnull=False
    )
    sums = lines.order_by().values("material_id").annotate(sum=Sum("quantity"))
    return {row["material_id"]: row["sum"] for row in sums}


def used_for_unfinished(build: Build) -> dict[int, Decimal]:
    """Material key -> what was taken from stock for tasks that are not finished. One query."""
    moves = StockMove.objects.filter(
        build=build, task__finished_at__isnull=True, task__isnull=False
    )
    sums = moves.order_by().values("material_id").annotate(sum=Sum("quantity"))
    return {row["material_id"]: -row["sum"] for row in sums}


def _sent_before(build_id: int, key: str) -> StockMove | None:
    """The row that an earlier click on the same form wrote."""
    return StockMove.objects.filter(build=build_id, key=key).first() if key else None


@transaction.atomic
def count_stock(
    material: Material,
    counted: Decimal,
    day: dt.date,
    person: Person | None,
    note: str = "",
    key: str = "",
) -> StockMove:
    """Say how much is there. The row holds what was counted and the change that it makes.

    With a key, a second click writes nothing and gives the first one's row.
    """
    # Two who count at once must each see the other's row.
    Material.objects.select_for_update().get(pk=material.pk)
    if twin := _sent_before(material.build_id, key):
        return twin
    stood = material.moves.aggregate(sum=Sum("quantity"))["sum"] or ZERO
    return StockMove.objects.create(
        build_id=material.build_id,
        material=material,
        day=day,
        kind=StockMove.Kind.COUNTED,
        quantity=counted - stood,
        counted=counted,
        person=person,
        note=note,
        key=key,
    )


OUTWARD = {StockMove.Kind.USED, StockMove.Kind.WASTED, StockMove.Kind.RETURNED}


@transaction.atomic
def move_stock(move: StockMove, amount: Decimal) -> StockMove:
    """Write a row of the ledger from an amount as people say it: 3 used is a change of −3.

    With a key, a second click writes nothing and gives the first one's row.
    """
    Material.objects.select_for_update().get(pk=move.material_id)
    if twin := _sent_before(move.build_id, move.key):
        return twin
    move.quantity = -amount if move.kind in OUTWARD else amount
    move.save()
    return move


@transaction.atomic
def take_back(move: StockMove, day: dt.date, person: Person | None) -> StockMove:
    """Put a row that was a mistake right by a second one; both stay. Twice is the same as once.

    Raises `Refused` for what came by a purchase or a finish: that is put right where it came from.
    """
    Material.objects.select_for_update().get(pk=move.material_id)
    if done := StockMove.objects.filter(corrects=move).first():
        return done
    if not move.by_hand:
        raise Refused(
            "That row cannot be taken back by itself. Correct the purchase, or undo the finish, "
            "that it came from; or count what is there."
        )
    return StockMove.objects.create(
        build_id=move.build_id,
        material_id=move.material_id,
        day=day,
        kind=move.kind,
        quantity=-move.quantity,
        task_id=move.task_id,
        person=person,
        note=f"takes back a row of {move.day:%-d %b %Y}",
        corrects=move,
    )
