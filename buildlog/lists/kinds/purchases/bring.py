"""Purchases in: rows of one supplier, day and receipt are one purchase, a line each.

A purchase is known again by supplier, receipt number and day; a line in it by its material or
words, and by its turn where two lines are alike. All changes go through
`materials.purchasing.record_purchase`, which keeps the stock ledger in step.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any

from buildlog.lists.cells import Some
from buildlog.lists.fold import fold_name
from buildlog.lists.kinds.amounts import amount_of, unit_of_word
from buildlog.lists.kinds.base import Bringing, check_fields, settle, turns
from buildlog.lists.kinds.material_names import Materials
from buildlog.lists.kinds.money import currency_of, rate_of, say_foreign
from buildlog.lists.kinds.suppliers import Suppliers
from buildlog.lists.records import Record, State
from buildlog.materials.models import ZERO, Material, Purchase, PurchaseLine, Supplier
from buildlog.materials.purchasing import record_purchase
from buildlog.units import Amount, UnitError, round_to_minor

AMOUNTS = ("net", "tax", "paid", "freight", "paper_tax")


@dataclass(slots=True)
class Paper:
    """A purchase on its way in: its row, the lines it had, and the records that are its lines."""

    purchase: Purchase
    lines: list[PurchaseLine]
    by_turn: dict[Any, PurchaseLine]
    turn: turns = field(default_factory=turns)
    records: list[Record] = field(default_factory=list)


def check(bringing: Bringing) -> None:
    materials = Materials(bringing, "material", text=True)
    suppliers = Suppliers(bringing.build)
    papers = _Papers(bringing.build, suppliers)
    for record in bringing.records:
        some: Some | None = record.get("quantity")
        unit = record.get("unit") or (some.unit if some else "")
        material = materials.of(record, unit_of_word(unit))
        if record.good:
            _settle_line(record, material, papers, bringing)
    for paper in papers.used:
        _settle_paper(paper, bringing)
    materials.ask()
    bringing.carry = (papers, materials)
    _say_what_is_taken(bringing)


def _say_what_is_taken(bringing: Bringing) -> None:
    found = bringing.found
    if not found.has("net") and found.has("paid"):
        bringing.note(
            f"“{found.heading('paid')}” is all there is of money, so it is taken as the whole "
            "price with its tax."
        )
    missing = [what for key, what in (("paid_on", "paid"), ("arrived_on", "arrived"))
               if not found.has(key)]  # fmt: skip
    if missing:
        bringing.note(
            f"Nothing says when they were {' or '.join(missing)}, so new purchases count as "
            f"{' and '.join(missing)} on their day."
        )
    if not found.has("quantity"):
        bringing.note("No column says how much, so each line is taken as one.")
    say_foreign(bringing)


class _Papers:
    """The purchases of a build by supplier, receipt and day, with their lines. Two queries."""

    def __init__(self, build: Any, suppliers: Suppliers) -> None:
        self._build, self._suppliers = build, suppliers
        self._known: dict[Any, list[Paper]] = {}
        self.used: list[Paper] = []
        lines_of: dict[int, list[PurchaseLine]] = {}
        lines_here = PurchaseLine.objects.filter(purchase__build=build).order_by("pk")
        for line in lines_here.select_related("material"):
            lines_of.setdefault(line.purchase_id, []).append(line)
        for purchase in build.purchases.select_related("supplier").order_by("pk"):
            lines = lines_of.get(purchase.pk, [])
            turn = turns()
            by_turn = {turn(self._line_key(line.material_id, line.what)): line for line in lines}
            key = self._key(purchase.supplier, purchase.receipt_number, purchase.ordered_on,
                            purchase.currency)  # fmt: skip
            self._known.setdefault(key, []).append(Paper(purchase, lines, by_turn))

    @staticmethod
    def _key(supplier: Supplier, receipt: str, day: dt.date, currency: str) -> Any:
        # Without a number two papers of a day can still differ by their currency.
        return fold_name(supplier.name), fold_name(receipt), day, "" if receipt else currency

    @staticmethod
    def _line_key(material: Any, what: str) -> Any:
        return material or fold_name(what)

    def place(self, record: Record, material: Material | None, currency: str) -> Paper:
        """The paper and, as its target, the line that a record is; new ones where there is none."""
        supplier = self._suppliers.named(record.get("supplier"))
        receipt, day = record.get("receipt", ""), record.get("day")
        key = self._key(supplier, receipt, day, currency)
        if key not in self._known:
            purchase = Purchase(
                build=self._build, supplier=supplier, receipt_number=receipt, ordered_on=day,
                currency=currency,
            )  # fmt: skip
            self._known[key] = [Paper(purchase, [], {})]
        papers = self._known[key]
        made_of = (material.pk or f"new {fold_name(material.name)}") if material else None
        line_key = self._line_key(made_of, record.get("material"))
        for paper in papers:
            # Several papers without a number may share a key: each line looks for its own.
            if (line_key, paper.turn.count(line_key)) in paper.by_turn:
                break
        else:
            paper = papers[0]
        if not paper.records:
            self.used.append(paper)
        record.also = paper.by_turn.get(paper.turn(line_key))
        paper.records.append(record)
        return paper


def _settle_line(
    record: Record, material: Material | None, papers: _Papers, bringing: Bringing
) -> None:
    currency = currency_of(record, bringing, *AMOUNTS)
    if currency is None:
        return
    given = _line_values(record, material, currency)
    if not record.good:
        return
    paper = papers.place(record, material, currency)
    if paper.purchase.currency != currency:
        record.refuse(
            "currency",
            "two-currencies",
            f"Its receipt is in {paper.purchase.currency}: one receipt has one currency.",
        )
        return
    line: PurchaseLine | None = record.also

    def make() -> PurchaseLine:
        new = PurchaseLine(material=material, what="" if material else record.get("material"))
        new.cost_kind = material.cost_kind if material else new.cost_kind
        return new

    settle(record, line, make, given)


def _line_values(
    record: Record, material: Material | None, currency: str
) -> dict[str, tuple[str, Any]]:
    some: Some = record.get("quantity", Some(Decimal(1), ""))
    given: dict[str, tuple[str, Any]] = {}
    try:
        quantity = amount_of(some, material, record.get("unit", "")) if material else some.value
        given["quantity"] = ("quantity", quantity)
    except UnitError as error:
        record.refuse("unit" if record.get("unit") else "quantity", error.rule, str(error))
    money = "net" if record.has("net") else "paid"
    net: Amount | None = record.get(money)
    if net is None:
        record.refuse(money, "needed", "What was paid? The cell is empty.")
        return given
    given["net"] = (money, net.value)
    if record.has("tax"):
        given["tax"] = ("tax", record.get("tax").value if record.get("tax") else ZERO)
    if record.get("cost_kind"):
        given["cost_kind"] = ("cost_kind", record.get("cost_kind"))
    for key in ("freight", "paper_tax"):  # these are spread over the lines in whole coins
        amount = record.get(key)
        if amount and amount.value != round_to_minor(amount.value, currency):
            record.refuse(key, "too-fine", f"It is finer than {currency} goes.")
    return given


def _settle_paper(paper: Paper, bringing: Bringing) -> None:
    """What the records say of the whole paper: freight and tax are summed, the rest must agree."""
    good = [record for record in paper.records if record.good]
    if not good:
        return
    purchase, first = paper.purchase, good[0]
    new = purchase.pk is None
    given: dict[str, tuple[str, Any]] = {}
    for field_name, key in (("freight", "freight"), ("tax", "paper_tax")):
        if first.has(key):
            given[field_name] = (key, sum((r.get(key).value for r in good if r.get(key)), ZERO))
    for field_name in ("paid_on", "arrived_on"):
        if first.has(field_name):
            given[field_name] = (field_name, _one(good, field_name))
        elif new:
            given[field_name] = (field_name, purchase.ordered_on)
    rate = rate_of(first, purchase.currency, bringing)
    if rate is not None or new:
        given["rate"] = ("rate", rate)
    changed = [
        (name, key) for name, (key, value) in given.items() if getattr(purchase, name) != value
    ]
    for name, (_, value) in given.items():
        setattr(purchase, name, value)
    if rate is not None and purchase.currency != bringing.build.currency and not purchase.rate_day:
        purchase.rate_day = purchase.ordered_on
    if purchase.arrived_on and purchase.arrived_on < purchase.ordered_on:
        first.refuse("arrived_on", "arrived-first", "It cannot arrive before it was ordered.")
    check_fields(first, purchase, {name: key for name, (key, _) in given.items()})
    for record in good[1:]:  # what is wrong with the paper is wrong with each line of it
        record.faults += [replace(fault, row=record.number) for fault in first.faults]
    if not new and changed:
        for record in good[:1]:
            record.changes += [key for _, key in changed]
            if record.outcome == State.UNCHANGED:
                record.outcome = State.CHANGED


def _one(records: Iterable[Record], key: str) -> Any:
    """The one answer that the lines of a paper give; a line that says another is refused."""
    said = [(record, record.get(key)) for record in records if record.get(key) is not None]
    for record, value in said[1:]:
        if value != said[0][1]:
            record.refuse(key, "two-answers", f"Row {said[0][0].number} of the same receipt says "
                          f"{said[0][1]}.")  # fmt: skip
    return said[0][1] if said else None


def write(bringing: Bringing) -> None:
    papers, materials = bringing.carry
    going = {id(record) for record in bringing.going}
    used = {id(r.target.material) for r in bringing.going if r.target.material is not None}
    materials.save_new(used)
    for paper in papers.used:
        records = [record for record in paper.records if id(record) in going]
        if not records:
            continue
        lines = list(paper.lines)
        for record in records:
            line: PurchaseLine = record.target
            line.material = line.material  # takes over the key of a material just saved
            if line.pk is None:
                lines.append(line)
        record_purchase(paper.purchase, lines, bringing.person)
