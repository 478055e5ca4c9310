"""The one bridge for money: spent, committed and cost to finish, with the rows behind each sum.

Spent = paid purchases + standing costs to date. Committed = ordered, not paid. Cost to finish =
what is still to buy at the newest price, brought home + equipment not bought + standing costs
from today to the launch on the plan + contingency on the part not bought. Expected total = spent
+ committed + cost to finish. Stock already paid for is never counted again.

Amounts are exact decimals in the build's currency; rounding is left to the page.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import cached_property

from django.db.models import Sum

from buildlog.materials.models import CostKind, Material, Purchase
from buildlog.materials.need import MaterialRow, Needs, needs_of
from buildlog.materials.papers import Paper, PaperRow, paper_of
from buildlog.money.models import Budget, StandingCost
from buildlog.money.reckoning import contingency, standing_between
from tasks.models import Build, Stage
from tasks.order import kept_order
from tasks.plan import Plan

ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class StandingRow:
    """A standing cost: what it has come to so far and what it comes to until the launch."""

    cost: StandingCost
    to_date: Decimal
    to_launch: Decimal


@dataclass(frozen=True, slots=True)
class StageRow:
    """What the tasks of a stage still need to be bought, by gross need short of stock."""

    stage: Stage | None
    amount: Decimal
    used: Decimal  # what its tasks have used so far, at the average price paid


@dataclass(frozen=True)
class Cost:
    build: Build
    today: dt.date
    launch: dt.date | None
    needs: Needs
    papers: list[Paper]
    standing: list[StandingRow]
    contingency_percent: Decimal
    stages: list[StageRow] = field(default_factory=list)

    @cached_property
    def paid_rows(self) -> list[PaperRow]:
        """Lines of paid purchases whose amount in the build's currency is known."""
        return [row for paper in self.papers if paper.purchase.paid_on for row in _known(paper)]

    @cached_property
    def committed_rows(self) -> list[PaperRow]:
        return [row for paper in self.papers if not paper.purchase.paid_on for row in _known(paper)]

    @property
    def no_rate(self) -> list[Paper]:
        """Purchases in another currency without a rate: in no total."""
        return [paper for paper in self.papers if paper.total is None]

    @property
    def papers_kept(self) -> int:
        """How many purchases have their receipt kept."""
        return sum(paper.purchase.receipt_id is not None for paper in self.papers)

    @cached_property
    def paid(self) -> Decimal:
        return _sum(row.paid for row in self.paid_rows)

    @cached_property
    def standing_to_date(self) -> Decimal:
        return _sum(row.to_date for row in self.standing)

    @property
    def spent(self) -> Decimal:
        return self.paid + self.standing_to_date

    @cached_property
    def committed(self) -> Decimal:
        return _sum(row.paid for row in self.committed_rows)

    @cached_property
    def to_buy_rows(self) -> list[MaterialRow]:
        """Materials of which something is still to be bought, equipment left out."""
        return [row for row in self.needs.materials if row.to_buy and not _is_equipment(row)]

    @cached_property
    def equipment_rows(self) -> list[MaterialRow]:
        return [row for row in self.needs.materials if row.to_buy and _is_equipment(row)]

    @cached_property
    def to_buy(self) -> Decimal:
        return _sum(row.cost for row in self.to_buy_rows)

    @cached_property
    def equipment(self) -> Decimal:
        return _sum(row.cost for row in self.equipment_rows)

    @cached_property
    def standing_to_launch(self) -> Decimal:
        return _sum(row.to_launch for row in self.standing)

    @property
    def contingency(self) -> Decimal:
        return contingency(self.to_buy + self.equipment, self.contingency_percent)

    @property
    def to_finish(self) -> Decimal:
        return self.to_buy + self.equipment + self.standing_to_launch + self.contingency

    @property
    def expected_total(self) -> Decimal:
        return self.spent + self.committed + self.to_finish

    @property
    def no_price(self) -> list[MaterialRow]:
        """What is to be bought and has no price: the cost to finish does not hold it."""
        return [row for row in (*self.to_buy_rows, *self.equipment_rows) if row.price is None]

    @property
    def old_price(self) -> list[MaterialRow]:
        rows = (*self.to_buy_rows, *self.equipment_rows)
        return [row for row in rows if row.price and row.price.is_old(self.today)]

    @property
    def on_old_prices(self) -> Decimal:
        """How much of the cost to finish rests on prices older than a year."""
        return _sum(row.cost for row in self.old_price)

    @property
    def rounding_up(self) -> Decimal:
        """What buying whole sheets, lengths and packs costs beyond what the tasks need."""
        return self.to_buy + self.equipment - _sum(row.amount for row in self.stages)

    @cached_property
    def by_kind(self) -> list[tuple[str, Decimal, Decimal]]:
        """In the boat, used up, tools, shed: what is paid and what is committed of each."""
        paid: dict[str, Decimal] = defaultdict(Decimal)
        committed: dict[str, Decimal] = defaultdict(Decimal)
        for row in self.paid_rows:
            paid[row.line.cost_kind] += row.paid or ZERO
        for row in self.committed_rows:
            committed[row.line.cost_kind] += row.paid or ZERO
        return [(kind.label, paid[kind], committed[kind]) for kind in CostKind]


def cost_of(build: Build, plan: Plan, needs: Needs | None = None) -> Cost:
    """What a build has cost and will cost, in a fixed number of queries."""
    needs = needs or needs_of(build, plan)
    today = plan.now.date()
    order = kept_order(build)
    honest = order.launch if order and plan.launch else plan.launch
    launch = honest.date() if honest else None
    purchases = Purchase.objects.filter(build=build).select_related("supplier")
    papers = [paper_of(row) for row in purchases.prefetch_related("lines__material")]
    budget = Budget.objects.filter(build=build).first() or Budget(build=build)
    standing = [_standing(row, today, launch) for row in StandingCost.objects.filter(build=build)]
    return Cost(
        build, today, launch, needs, papers, standing, budget.contingency_percent,
        _by_stage(build, plan, needs, papers),
    )  # fmt: skip


def to_finish_if(
    cost: Cost,
    launch: dt.date,
    needs: Needs | None = None,
    unbought: Decimal = ZERO,
    standing: Iterable[StandingCost] = (),
) -> Decimal:
    """The cost to finish if she were launched on another day, with what else would change.

    Parameters
    ----------
    cost, launch
        What she costs as things are, and the other day.
    needs
        What would have to be bought then, if not the same.
    unbought
        What would be bought besides; the rate for the unforeseen is put on it as on the rest.
    standing
        Further standing costs.
    """
    rows = [*(row.cost for row in cost.standing), *standing]
    changed = replace(
        cost,
        launch=launch,
        needs=needs or cost.needs,
        standing=[_standing(row, cost.today, launch) for row in rows],
    )
    return changed.to_finish + unbought + contingency(unbought, cost.contingency_percent)


def _standing(cost: StandingCost, today: dt.date, launch: dt.date | None) -> StandingRow:
    to_date = standing_between(cost.a_month, cost.first, cost.last, cost.first, today)
    after = today if launch is None else max(launch, today)
    to_launch = standing_between(cost.a_month, cost.first, cost.last, today, after)
    return StandingRow(cost, to_date, to_launch)


def _by_stage(build: Build, plan: Plan, needs: Needs, papers: list[Paper]) -> list[StageRow]:
    """What each stage's tasks are short of, at today's price, and what they have used so far.

    What has no price counts nothing here, as in the total.
    """
    price = {row.material.pk: row.price.home for row in needs.materials if row.price}
    short: dict[int | None, Decimal] = defaultdict(Decimal)
    for task, rows in needs.tasks.items():
        stage = plan.tasks[task].stage_id if task in plan.tasks else None
        for row in rows:
            short[stage] += row.to_buy_share * price.get(row.material.pk, ZERO)
    used: dict[int | None, Decimal] = defaultdict(Decimal)
    average = average_paid(papers)
    moves = build.stock_moves.filter(task__isnull=False).order_by()
    sums = moves.values("task__stage_id", "material_id").annotate(sum=Sum("quantity"))
    for used_row in sums:
        worth = used_row["sum"] * average.get(used_row["material_id"], ZERO)
        used[used_row["task__stage_id"]] -= worth
    found = [StageRow(stage, short[stage.pk], used[stage.pk]) for stage in plan.stages]
    if short[None]:
        found.append(StageRow(None, short[None], ZERO))
    return found


def average_paid(papers: Iterable[Paper]) -> dict[int, Decimal]:
    """Material key -> what one of it has cost on average, brought home."""
    money: dict[int, Decimal] = defaultdict(Decimal)
    bought: dict[int, Decimal] = defaultdict(Decimal)
    for paper in papers:
        for row in _known(paper):
            if row.line.material_id:
                money[row.line.material_id] += row.paid or ZERO
                bought[row.line.material_id] += row.line.quantity
    return {key: money[key] / bought[key] for key in money}


def _known(paper: Paper) -> list[PaperRow]:
    return [] if paper.total is None else paper.rows


def _is_equipment(row: MaterialRow) -> bool:
    return row.material.kind == Material.Kind.EQUIPMENT


def _sum(amounts: Iterable[Decimal | None]) -> Decimal:
    return sum((amount for amount in amounts if amount is not None), ZERO)
