from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import groupby

from buildlog.lists.kinds.base import Value
from buildlog.materials.models import PurchaseLine
from tasks.models import Build


def take(build: Build, money: bool) -> Iterator[Mapping[str, Value]]:
    """A row a line. Freight, and tax not given by line, stand on the first line of a purchase."""
    lines = PurchaseLine.objects.filter(purchase__build=build)
    rows = lines.select_related("purchase__supplier", "material")
    ordered = rows.order_by("purchase__ordered_on", "purchase_id", "pk")
    for purchase, of_it in groupby(ordered, key=lambda line: line.purchase):
        for place, line in enumerate(of_it):
            yield {
                "day": purchase.ordered_on,
                "supplier": purchase.supplier.name,
                "material": line.material.name if line.material else line.what,
                "quantity": line.quantity,
                "unit": str(line.material.unit) if line.material else "",
                "net": line.net,
                "tax": line.tax,
                "freight": purchase.freight if place == 0 else 0,
                "paper_tax": purchase.tax if place == 0 else 0,
                "currency": purchase.currency,
                "rate": purchase.rate if purchase.currency != build.currency else None,
                "receipt": purchase.receipt_number,
                "paid_on": purchase.paid_on,
                "arrived_on": purchase.arrived_on,
                "cost_kind": str(line.cost_kind),
            }
