"""A purchase and what it does to the stock. Every way in (page, API, import) comes through here."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from decimal import Decimal

from django.db import transaction
from django.db.models import Sum

from buildlog.materials.models import Purchase, PurchaseLine, StockMove
from tasks.models import Person


@transaction.atomic
def record_purchase(
    purchase: Purchase, lines: Sequence[PurchaseLine], person: Person | None
) -> Purchase:
    """Save a purchase with exactly these lines, and bring the stock ledger into step with it.

    Lines that the purchase had and that are not among `lines` go. Ledger rows stay as they are:
    what changed becomes a further row.
    """
    if purchase.supplier.pk is None:
        purchase.supplier.save()
        purchase.supplier = purchase.supplier  # takes over the key it has just got
    purchase.save()
    kept = [line.pk for line in lines if line.pk]
    for gone in purchase.lines.exclude(pk__in=kept):
        _post(gone, {}, purchase.arrived_on, person, "line taken out of the purchase")
        gone.delete()
    for line in lines:
        line.purchase = purchase
        line.save()
        _post_line(line, purchase, person)
    return purchase


@transaction.atomic
def delete_purchase(purchase: Purchase, person: Person | None) -> None:
    """Take a purchase out of the books; what it brought into stock goes out by further rows."""
    for line in purchase.lines.all():
        _post(line, {}, purchase.arrived_on, person, "purchase taken out of the books")
    purchase.delete()


@transaction.atomic
def mark_arrived(purchase: Purchase, day: dt.date, person: Person | None) -> bool:
    """Put what was ordered into stock. False if it was in already, as on a double click."""
    arrived = Purchase.objects.filter(pk=purchase.pk, arrived_on__isnull=True)
    if not arrived.update(arrived_on=day):
        return False
    purchase.refresh_from_db()
    for line in purchase.lines.all():
        _post_line(line, purchase, person)
    return True


def mark_paid(purchase: Purchase, day: dt.date) -> bool:
    """Say on which day it was paid. False if it was paid already."""
    return bool(Purchase.objects.filter(pk=purchase.pk, paid_on__isnull=True).update(paid_on=day))


def _post_line(line: PurchaseLine, purchase: Purchase, person: Person | None) -> None:
    wanted: dict[int, Decimal] = {}
    if purchase.arrived_on and line.material_id:
        wanted[line.material_id] = line.quantity
    _post(line, wanted, purchase.arrived_on, person, "purchase corrected")


def _post(
    line: PurchaseLine,
    wanted: dict[int, Decimal],
    day: dt.date | None,
    person: Person | None,
    correction: str,
) -> None:
    """Add the rows by which the line's moves sum, per material, to what is wanted."""
    sums = line.moves.order_by().values("material_id").annotate(sum=Sum("quantity"))
    posted = {row["material_id"]: row["sum"] for row in sums}
    for material_id in sorted(posted.keys() | wanted.keys()):
        change = wanted.get(material_id, Decimal(0)) - posted.get(material_id, Decimal(0))
        if change:
            StockMove.objects.create(
                build_id=line.purchase.build_id,
                material_id=material_id,
                day=day or line.purchase.ordered_on,
                kind=StockMove.Kind.BOUGHT,
                quantity=change,
                line=line,
                note=correction if material_id in posted else "",
                person=person,
            )
