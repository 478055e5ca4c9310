"""What one of a material costs today: the newest that was asked or paid, brought home."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
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
    usual = usual_of(build)
    prices = _asked(build, usual)
    for material, paid in _paid(build, usual).items():
        if material not in prices or prices[material].day <= paid.day:
            prices[material] = paid
    return prices


def _asked(build: Build, usual: Mapping[int | None, Usual]) -> dict[int, PriceNow]:
    """Material key -> the newest price that was asked. One query."""
    rows = (
        Price.objects.filter(material__build=build, rate__isnull=False)
        .order_by("day", "pk")
        .values_list(
            "material_id", "net", "rate", "day", "supplier_id", "supplier__name",
            "material__supplier_id", "material__supplier__name",
        )
    )  # fmt: skip
    found = {}
    for material, *row in {row[0]: row for row in rows}.values():  # the last one stands
        net, rate, day, supplier, name, usual_supplier, usual_name = row
        own = usual.get(supplier or usual_supplier, Usual())
        net *= rate
        name = name or usual_name or ""
        found[material] = PriceNow(net, net * own.tax, net * own.freight, day, name, paid=False)
    return found


def _paid(build: Build, usual: Mapping[int | None, Usual]) -> dict[int, PriceNow]:
    """Material key -> the newest price that was paid. One query."""
    rows = (
        PurchaseLine.objects.filter(
            purchase__build=build, material__isnull=False, purchase__rate__isnull=False
        )
        .order_by("purchase__ordered_on", "pk")
        .values_list(
            "material_id", "net", "tax", "quantity", "purchase__rate", "purchase__tax",
            "purchase__ordered_on", "purchase__supplier_id", "purchase__supplier__name",
        )
    )  # fmt: skip
    found = {}
    for material, *row in {row[0]: row for row in rows}.values():  # the last one stands
        net, tax, quantity, rate, tax_at_foot, day, supplier, name = row
        own = usual.get(supplier, Usual())
        net = net * rate / quantity
        tax = net * own.tax if tax_at_foot and not tax else tax * rate / quantity
        found[material] = PriceNow(net, tax, net * own.freight, day, name, paid=True)
    return found


def usual_of(build: Build) -> dict[int | None, Usual]:
    """Supplier key -> the tax and freight they usually add. Three queries."""
    papers = Purchase.objects.filter(build=build).order_by().values("supplier_id")
    on_lines = papers.annotate(net=Sum("lines__net"), line_tax=Sum("lines__tax"))
    # Apart from the lines: a join would count a paper's freight once a line.
    sums = papers.annotate(foot_tax=Sum("tax"), freight=Sum("freight"))
    at_foot = {row["supplier_id"]: row for row in sums}
    found: dict[int | None, Usual] = {}
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
