"""What the sheet of one material shows: need by task, the ledger, prices and purchases."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import F, Q, QuerySet, Sum, Window

from buildlog.materials.models import Material, Part, Price, PurchaseLine, StockMove
from buildlog.materials.need import MaterialRow, Needs, TaskRow
from buildlog.paging import AddressedPage
from tasks.plan import Plan, TaskPlan

MOST_PARTS = 12


@dataclass(frozen=True, slots=True)
class MadeForTask:
    """A task not yet finished, with the parts it makes of the material."""

    planned: TaskPlan | None  # None: parts that no task has claimed
    row: TaskRow
    parts: list[Part]
    more: int


def made_for_tasks(
    plan: Plan, needs: Needs, row: MaterialRow, page: AddressedPage
) -> list[MadeForTask]:
    """The tasks of a page of `row.need.tasks`, with some of their parts. One query."""
    keys = [need.task for need in page]
    found: dict[int | None, list[Part]] = {key: [] for key in keys}
    wanted = Q(task__in=[key for key in keys if key is not None])
    if None in found:
        wanted |= Q(task__isnull=True)
    for part in Part.objects.filter(wanted, material=row.material).order_by("name", "pk"):
        part.material = row.material
        found[part.task_id].append(part)
    return [
        MadeForTask(
            plan.tasks.get(key), _row_of(needs, key, row.material), found[key][:MOST_PARTS],
            max(len(found[key]) - MOST_PARTS, 0),
        )
        for key in keys
    ]  # fmt: skip


def _row_of(needs: Needs, task: int | None, material: Material) -> TaskRow:
    return next(one for one in needs.tasks[task] if one.material.pk == material.pk)


def ledger_of(material: Material) -> QuerySet[StockMove]:
    """The rows of the ledger, the newest first, each with what was there after it (`stood`)."""
    stood = Window(Sum("quantity"), order_by=[F("day").asc(), F("pk").asc()])
    rows = StockMove.objects.filter(material=material).annotate(stood=stood)
    return rows.select_related(
        "task", "person", "line__purchase", "act", "corrects", "corrected_by"
    ).order_by("-day", "-pk")


@dataclass(frozen=True, slots=True)
class PricePoint:
    """What one of a material cost on a day, net, in the build's currency; None without a rate."""

    day: dt.date
    net: Decimal | None
    own_net: Decimal
    currency: str
    supplier: str
    price: Price | None = None  # asked
    line: PurchaseLine | None = None  # paid


def price_history(material: Material) -> list[PricePoint]:
    """Asked and paid prices, the oldest first. Two queries."""
    points = [
        PricePoint(
            price.day, _in_build(price.net, price.rate), price.net, price.currency,
            str(price.supplier or ""), price=price,
        )
        for price in material.prices.select_related("supplier")
    ]  # fmt: skip
    for line in material.purchase_lines.select_related("purchase__supplier"):
        paper, net = line.purchase, line.net / line.quantity
        points.append(
            PricePoint(paper.ordered_on, _in_build(net, paper.rate), net, paper.currency,
                       str(paper.supplier), line=line)
        )  # fmt: skip
    return sorted(points, key=lambda one: (one.day, one.line is not None))


def _in_build(net: Decimal, rate: Decimal | None) -> Decimal | None:
    return None if rate is None else net * rate
