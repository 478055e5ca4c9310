"""What one of a material costs today: the newest that was asked or paid, brought home."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Sum

from buildlog.materials.models import ZERO, Price, Purchase, PurchaseLine, Supplier
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


@dataclass(frozen=True, slots=True)
class Usual:
    """What a supplier adds to the net price, as shares of it."""

    tax: Decimal = ZERO
    freight: Decimal = ZERO


def prices_now(build: Build) -> dict[int, PriceNow]:
    """Material key -> its newest price, paid before asked on one day. Five queries.

    Amounts without a rate are no price. A price that was asked carries the supplier's tax and
    usual freight; a purchase carries its own line's tax, or the supplier's where tax stood only
    at the foot of the paper, and the usual freight, since one paper's may be unlike the next's.
    What is usual is what the supplier's row says, or else what their papers so far came to.
    """
    lines = PurchaseLine.objects.filter(
        purchase__build=build, material__isnull=False, purchase__rate__isnull=False
    )
    asked = Price.objects.filter(material__build=build, rate__isnull=False)
    usual = usual_of(build)
    rows: list[tuple[tuple[dt.date, int, int], int, PriceNow]] = []
    for price in asked.select_related("supplier", "material__supplier"):
        supplier = price.supplier or price.material.supplier
        own = usual.get(supplier.pk, Usual()) if supplier else Usual()
        net = price.net * price.rate
        name = supplier.name if supplier else ""
        now = PriceNow(net, net * own.tax, net * own.freight, price.day, name, False)
        rows.append(((price.day, 0, price.pk), price.material_id, now))
    for line in lines.select_related("purchase__supplier"):
        paper = line.purchase
        own = usual.get(paper.supplier_id, Usual())
        net = line.net * paper.rate / line.quantity
        tax = line.tax * paper.rate / line.quantity
        if paper.tax and not line.tax:
            tax = net * own.tax
        now = PriceNow(net, tax, net * own.freight, paper.ordered_on, paper.supplier.name, True)
        if line.material_id is not None:
            rows.append(((paper.ordered_on, 1, line.pk), line.material_id, now))
    return {material: price for _, material, price in sorted(rows, key=lambda row: row[0])}


def usual_of(build: Build) -> dict[int, Usual]:
    """Supplier key -> the tax and freight they usually add. Three queries."""
    papers = Purchase.objects.filter(build=build).order_by().values("supplier_id")
    on_lines = papers.annotate(net=Sum("lines__net"), line_tax=Sum("lines__tax"))
    # Apart from the lines: a join would count a paper's freight once a line.
    sums = papers.annotate(foot_tax=Sum("tax"), freight=Sum("freight"))
    at_foot = {row["supplier_id"]: row for row in sums}
    found: dict[int, Usual] = {}
    for row in on_lines:
        if row["net"]:
            foot = at_foot[row["supplier_id"]]
            found[row["supplier_id"]] = Usual(
                (row["line_tax"] + foot["foot_tax"]) / row["net"], foot["freight"] / row["net"]
            )
    for supplier in Supplier.objects.filter(build=build):
        papers_say = found.get(supplier.pk, Usual())
        tax, freight = supplier.tax_percent, supplier.freight_percent
        found[supplier.pk] = Usual(
            papers_say.tax if tax is None else tax / HUNDRED,
            papers_say.freight if freight is None else freight / HUNDRED,
        )
    return found
