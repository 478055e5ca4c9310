"""What was spent up to each month's first day, and today: the values of the curve."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from buildlog.drawing import Drawing
from buildlog.drawing.money_curve import money_curve
from buildlog.drawing.scale import months
from buildlog.money.cost import ZERO, Cost
from buildlog.money.reckoning import standing_between


def spent_to_date(cost: Cost) -> list[tuple[dt.date, Decimal]]:
    """Spent before each first of a month since the first payment, and today with today's.

    The last amount is `cost.spent`, whatever has a date still to come.
    """
    paid = [(row.line.purchase.paid_on, row.paid or ZERO) for row in cost.paid_rows]
    days = [day for day, _ in paid if day] + [row.cost.first for row in cost.standing]
    if not days or min(days) > cost.today:
        return []
    first = min(days).replace(day=1)
    by_day = sorted((day, amount) for day, amount in paid if day)
    points: list[tuple[dt.date, Decimal]] = []
    spent, place, since = ZERO, 0, dt.date.min
    for day in months(first, cost.today):
        while place < len(by_day) and by_day[place][0] < day:
            spent += by_day[place][1]
            place += 1
        spent += _standing(cost, since, day)
        points.append((day, spent))
        since = day
    return [*points, (cost.today, cost.spent)]


def _standing(cost: Cost, since: dt.date, until: dt.date) -> Decimal:
    return sum(
        (
            standing_between(row.cost.a_month, row.cost.first, row.cost.last, since, until)
            for row in cost.standing
        ),
        ZERO,
    )


def draw_spent(cost: Cost) -> list[tuple[str, Drawing]]:
    """The curve for a desk's width and for a phone's; nothing while nothing was spent."""
    points = [(day, float(amount)) for day, amount in spent_to_date(cost)]
    if not points:
        return []
    sizes = (("for-desk", 780, 250), ("for-phone", 358, 220))
    return [
        (
            name,
            money_curve(
                points, cost.today, cost.launch, float(cost.expected_total), cost.build.currency,
                width, height, key=f"money-{name}",
            ),
        )
        for name, width, height in sizes
    ]  # fmt: skip
