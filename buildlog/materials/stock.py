"""What is in the shed: sums of the ledger, and the rows that change it."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.db import transaction
from django.db.models import Sum

from buildlog.materials.models import ZERO, Material, PurchaseLine, StockMove
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


@transaction.atomic
def count_stock(
    material: Material, counted: Decimal, day: dt.date, person: Person | None, note: str = ""
) -> StockMove:
    """Say how much is there. The row holds what was counted and the change that it makes."""
    # Two who count at once must each see the other's row.
    Material.objects.select_for_update().get(pk=material.pk)
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
    )


OUTWARD = {StockMove.Kind.USED, StockMove.Kind.WASTED, StockMove.Kind.RETURNED}


def move_stock(move: StockMove, amount: Decimal) -> StockMove:
    """Write a row of the ledger from an amount as people say it: 3 used is a change of −3."""
    move.quantity = -amount if move.kind in OUTWARD else amount
    move.save()
    return move
