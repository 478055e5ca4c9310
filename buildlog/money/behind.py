"""The rows behind each sum of the money sheet, in one shape that one template shows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from django.urls import reverse

from buildlog.materials.models import Material
from buildlog.materials.need import MaterialRow
from buildlog.materials.papers import PaperRow
from buildlog.money.cost import Cost
from buildlog.templatetags.measures import money, quantity
from tasks.templatetags.shoptime import day


@dataclass(frozen=True, slots=True)
class Row:
    """A line behind a sum: what, a remark in pencil, the amount, and where to look further."""

    what: str
    remark: str
    amount: Decimal | None
    url: str = ""


@dataclass(frozen=True, slots=True)
class Behind:
    title: str
    says: str
    rows: Sequence[Row]
    total: Decimal
    left_out: Sequence[Row] = field(default=())


def _paper_line(cost: Cost, row: PaperRow) -> Row:
    paper = row.line.purchase
    url = reverse("purchase", args=[cost.build.slug, paper.pk])
    remark = f"{paper.supplier}, {day(paper.ordered_on)}"
    if paper.currency != cost.build.currency:
        remark += f", {money(row.own.paid, paper.currency)}"
    return Row(str(row.line), remark, row.paid, url)


def _papers_without_rate(cost: Cost) -> list[Row]:
    return [
        Row(
            str(paper.purchase),
            f"{money(paper.own_total, paper.purchase.currency)}, no rate yet",
            None,
            reverse("purchase", args=[cost.build.slug, paper.purchase.pk]),
        )
        for paper in cost.no_rate
    ]


def paid(cost: Cost) -> Behind:
    rows = [_paper_line(cost, row) for row in cost.paid_rows]
    says = "Each line as paid: net, its tax, and its share of freight and of tax on the whole."
    return Behind("Paid", says, rows, cost.paid, _papers_without_rate(cost))


def committed(cost: Cost) -> Behind:
    rows = [_paper_line(cost, row) for row in cost.committed_rows]
    return Behind("Committed", "Ordered and not paid yet.", rows, cost.committed)


def _to_buy_row(cost: Cost, row: MaterialRow) -> Row:
    remark = f"{quantity(row.to_buy, row.material.unit)} to buy"
    if row.price is None:
        remark += ", no price known"
    else:
        how = "paid" if row.price.paid else "asked"
        remark += f" at {money(row.price.home, cost.build)}, {how} {day(row.price.day)}"
        if row.price.is_old(cost.today):
            remark += " (over a year old)"
    url = reverse("material", args=[cost.build.slug, row.material.pk])
    return Row(row.material.name, remark, row.cost, url)


def _bought_next(cost: Cost, title: str, rows: list[MaterialRow], total: Decimal) -> Behind:
    shown = [_to_buy_row(cost, row) for row in rows]
    says = (
        "Gross need of parts not yet made, less stock and what is on its way, in whole sheets, "
        "lengths and packs, at the newest price with tax and the supplier's usual freight."
    )
    unpriced = [row for row in shown if row.amount is None]
    return Behind(title, says, [row for row in shown if row.amount is not None], total, unpriced)


def to_buy(cost: Cost) -> Behind:
    return _bought_next(cost, "Still to buy", cost.to_buy_rows, cost.to_buy)


def equipment(cost: Cost) -> Behind:
    return _bought_next(cost, "Equipment not bought", cost.equipment_rows, cost.equipment)


def standing_to_date(cost: Cost) -> Behind:
    rows = [
        Row(row.cost.name, f"{money(row.cost.a_month, cost.build)} a month", row.to_date)
        for row in cost.standing
    ]
    says = "What the months in the shed have cost so far, each month by its days."
    return Behind("Standing costs to date", says, rows, cost.standing_to_date)


def standing_to_launch(cost: Cost) -> Behind:
    rows = [
        Row(row.cost.name, f"{money(row.cost.a_month, cost.build)} a month", row.to_launch)
        for row in cost.standing
    ]
    until = day(cost.launch) if cost.launch else "a launch that has no date yet"
    says = f"What the months in the shed will cost from today to {until}."
    return Behind("Standing costs to launch", says, rows, cost.standing_to_launch)


def by_stage(cost: Cost) -> Behind:
    rows = [
        Row(
            row.stage.name if row.stage else "No stage",
            f"{money(row.used, cost.build)} of material used so far",
            row.amount,
        )
        for row in cost.stages
    ]
    rows.append(Row("Rounding up", "to whole sheets, lengths and packs", cost.rounding_up))
    says = "What the tasks of each stage are short of, at today's prices."
    return Behind("Still to buy, by stage", says, rows, cost.to_buy + cost.equipment)


def by_material(cost: Cost) -> Behind:
    """Every material: paid, committed and still to buy together."""
    sums: dict[int, list[Decimal]] = {
        row.material.pk: [Decimal(0), Decimal(0), row.cost or Decimal(0)]
        for row in cost.needs.materials
    }
    names: dict[int, Material] = {row.material.pk: row.material for row in cost.needs.materials}
    for place, lines in enumerate((cost.paid_rows, cost.committed_rows)):
        for line in lines:
            if line.line.material_id in sums:
                sums[line.line.material_id][place] += line.paid or 0
    all_lines = (*cost.paid_rows, *cost.committed_rows)
    other = sum(
        (row.paid or Decimal(0) for row in all_lines if not row.line.material_id), Decimal(0)
    )
    rows = [
        Row(
            names[key].name,
            f"paid {money(done, cost.build)}, committed {money(ordered, cost.build)}, "
            f"still to buy {money(rest, cost.build)}",
            done + ordered + rest,
            reverse("material", args=[cost.build.slug, key]),
        )
        for key, (done, ordered, rest) in sums.items()
        if done or ordered or rest
    ]
    if other:
        rows.append(Row("Other than material", "paid and committed", other))
    total = sum((row.amount for row in rows if row.amount is not None), Decimal(0))
    return Behind("By material", "Paid, committed and still to buy.", rows, total)


BEHIND: dict[str, Callable[[Cost], Behind]] = {
    "paid": paid,
    "committed": committed,
    "to-buy": to_buy,
    "equipment": equipment,
    "standing-to-date": standing_to_date,
    "standing-to-launch": standing_to_launch,
    "by-stage": by_stage,
    "by-material": by_material,
}
