"""What one of a material costs today: the newest that was asked or paid, brought home."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from buildlog.materials.models import Price, PurchaseLine, Supplier
from tasks.models import Build

OLD_AFTER = dt.timedelta(days=365)
HUNDRED = Decimal(100)


@dataclass(frozen=True, slots=True)
class PriceNow:
    """For one of a material's unit, in the build's currency, exact."""

    net: Decimal
    tax: Decimal
    freight: Decimal
    day: dt.date
    supplier: str
    paid: bool  # taken from a purchase, not from a price that was asked

    @property
    def home(self) -> Decimal:
        """What it costs brought home: net, tax and the supplier's usual freight."""
        return self.net + self.tax + self.freight

    def is_old(self, today: dt.date) -> bool:
        """Whether it is more than a year old, so that a sum says that it rests on it."""
        return today - self.day > OLD_AFTER


def prices_now(build: Build) -> dict[int, PriceNow]:
    """Material key -> its newest price, paid before asked on one day. Two queries.

    Amounts without a rate are no price.

    A price that was asked carries the supplier's tax and usual freight. A purchase carries the
    tax rate of its own line, and the supplier's where tax stood only at the foot of the paper.
    """
    asked = Price.objects.filter(material__build=build, rate__isnull=False)
    rows: list[tuple[tuple[dt.date, int, int], int, PriceNow]] = []
    for price in asked.select_related("supplier", "material__supplier"):
        supplier = price.supplier or price.material.supplier
        net = price.net * price.rate
        tax = net * (supplier.tax_percent if supplier else 0) / HUNDRED
        rows.append(
            (
                (price.day, 0, price.pk),
                price.material_id,
                _home(net, tax, price.day, supplier, False),
            )
        )
    lines = PurchaseLine.objects.filter(
        purchase__build=build, material__isnull=False, purchase__rate__isnull=False
    )
    for line in lines.select_related("purchase__supplier"):
        paper = line.purchase
        net = line.net * paper.rate / line.quantity
        if line.tax or not paper.tax:
            tax = line.tax * paper.rate / line.quantity
        else:
            tax = net * paper.supplier.tax_percent / HUNDRED
        rows.append(
            (
                (paper.ordered_on, 1, line.pk),
                line.material_id,
                _home(net, tax, paper.ordered_on, paper.supplier, True),
            )
        )
    return {material: price for _, material, price in sorted(rows, key=lambda row: row[0])}


def _home(
    net: Decimal, tax: Decimal, day: dt.date, supplier: Supplier | None, paid: bool
) -> PriceNow:
    freight = net * (supplier.freight_percent if supplier else 0) / HUNDRED
    return PriceNow(net, tax, freight, day, supplier.name if supplier else "", paid)
