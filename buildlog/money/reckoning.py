"""Sums of money from plain values: what months cost, what is put by for the unforeseen.

Framework-free. Amounts are exact decimals; rounding to the currency's minor unit is left to
whoever shows them. Definitions: "Paid", "Spent" and "Cost to finish" in the project's glossary
of numbers are repeated at each function.
"""

from __future__ import annotations

import calendar
import datetime as dt
from decimal import Decimal
from fractions import Fraction


def standing_between(
    a_month: Decimal,
    first: dt.date,
    last: dt.date | None,
    start: dt.date,
    end: dt.date,
) -> Decimal:
    """What a monthly cost comes to from `start` up to, not including, `end`.

    A month's cost is spread evenly over the days of that month. The cost itself runs from
    `first` to `last`, both included, or without end.

    Examples
    --------
    >>> standing_between(Decimal(310), dt.date(2026, 1, 1), None,
    ...                  dt.date(2026, 1, 1), dt.date(2026, 1, 11))
    Decimal('100')
    >>> standing_between(Decimal(310), dt.date(2026, 1, 1), dt.date(2026, 1, 5),
    ...                  dt.date(2025, 12, 1), dt.date(2027, 1, 1))
    Decimal('50')
    """
    begin = max(first, start)
    stop = end if last is None else min(end, last + dt.timedelta(days=1))
    total = Fraction(0)
    while begin < stop:
        days_in_month = calendar.monthrange(begin.year, begin.month)[1]
        month_end = begin.replace(day=1) + dt.timedelta(days=days_in_month)
        days = (min(stop, month_end) - begin).days
        total += Fraction(a_month) * days / days_in_month
        begin = month_end
    return Decimal(total.numerator) / Decimal(total.denominator)


def contingency(to_buy: Decimal, percent: Decimal) -> Decimal:
    """What is put by for the unforeseen: a rate on the part that is not bought yet.

    Examples
    --------
    >>> contingency(Decimal(200), Decimal("12.5"))
    Decimal('25.0')
    """
    return to_buy * percent / 100
