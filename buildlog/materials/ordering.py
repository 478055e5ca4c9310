"""What must be ordered by when, so that no task stands idle: from needs and the plan's dates."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from buildlog.materials.models import ZERO, Material
from buildlog.materials.need import MaterialRow, Needs
from tasks.models import Task
from tasks.plan import Plan

SOON = dt.timedelta(days=14)  # what must be ordered within two weekends is ordered now


@dataclass(frozen=True, slots=True)
class Order:
    """A material to be bought, and the first task that needs it.

    Attributes
    ----------
    amount
        What must be ordered soon, in the material's unit: for all tasks whose day to order is
        near. Where none is, what the first of them needs.
    task, start
        The first task that stock and what is on its way are not enough for, and the day on which
        it can begin. None: parts that no task has claimed.
    lead_days
        Days to deliver: the material's, else the supplier's. None: not known, reckoned as none.
    order_by
        The last day to order on: `start` less the days to deliver.
    """

    row: MaterialRow
    amount: Decimal
    task: Task | None
    start: dt.date | None
    lead_days: int | None
    order_by: dt.date | None
    today: dt.date

    @property
    def material(self) -> Material:
        return self.row.material

    @property
    def late(self) -> bool:
        return self.order_by is not None and self.order_by < self.today

    @property
    def soon(self) -> bool:
        return self.order_by is not None and self.order_by <= self.today + SOON

    @property
    def later(self) -> Decimal:
        """What is still to be bought of it after this."""
        return self.row.to_buy - self.amount

    @property
    def packs(self) -> Decimal | None:
        """The amount in the packs it is sold in; None where it is sold singly."""
        return in_packs(self.amount, self.material)

    @property
    def cost(self) -> Decimal | None:
        return None if self.row.price is None else self.amount * self.row.price.home


def in_packs(amount: Decimal, material: Material) -> Decimal | None:
    """How many packs an amount is; None where it is sold singly."""
    return None if material.pack == 1 else amount / material.pack


def lead_days(material: Material) -> int | None:
    """Days to deliver: the material's own, else its supplier's, else not known."""
    if material.lead_days is not None:
        return material.lead_days
    return material.supplier.lead_days if material.supplier else None


def orders_of(plan: Plan, needs: Needs) -> list[Order]:
    """Everything that must be bought, the most pressing first; parts without a task come last.

    No query: the suppliers come with the needs.
    """
    orders = [_order(plan, row) for row in needs.materials if row.to_buy]
    never = dt.date.max
    return sorted(
        orders, key=lambda one: (one.order_by or never, one.start or never, one.material.name)
    )


def _order(plan: Plan, row: MaterialRow) -> Order:
    days = lead_days(row.material)
    wait = dt.timedelta(days=days or 0)
    today = plan.now.date()
    # Tasks stand in the order of the plan, so the first that orders anything is the first short.
    asking = [need for need in row.need.tasks if need.to_buy]
    first: Any = asking[0].task if asking else None  # a key of the takeoff is that of its row
    start = _start(plan, first)
    amount = ZERO
    for need in asking:
        begins = _start(plan, need.task)
        if begins is not None and begins - wait <= today + SOON:
            amount += need.to_buy
    if not amount:
        amount = asking[0].to_buy if asking else row.to_buy
    return Order(
        row=row,
        amount=amount,
        task=plan.tasks[first].task if start else None,
        start=start,
        lead_days=days,
        order_by=start - wait if start else None,
        today=today,
    )


def _start(plan: Plan, task: Any) -> dt.date | None:
    """The day on which a task can begin; for one in hand, today."""
    if task is None or task not in plan.tasks:
        return None
    return max(plan.tasks[task].early_start.date(), plan.now.date())
