"""Sums of money from plain values: what a paper comes to, what months cost, what is still to go.

Framework-free. Amounts are exact decimals; rounding to the currency's minor unit is left to
whoever shows them. Definitions: "Paid", "Spent" and "Cost to finish" in the project's glossary
of numbers are repeated at each function.
"""

from __future__ import annotations

import calendar
import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from buildlog.units import spread

ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class PaperLine:
    """One line of a receipt or order: net and its own tax, in the paper's currency."""

    net: Decimal
    tax: Decimal = ZERO


@dataclass(frozen=True, slots=True)
class LineSum:
    """What a line comes to with its share of freight and of the tax not given by line."""

    net: Decimal
    tax: Decimal
    freight: Decimal

    @property
    def paid(self) -> Decimal:
        return self.net + self.tax + self.freight


def line_sums(
    lines: Sequence[PaperLine], currency: str, freight: Decimal = ZERO, tax: Decimal = ZERO
) -> list[LineSum]:
    """What each line of a paper comes to: paid = net + tax + freight.

    Freight and unitemised tax, both in whole coins of the paper's currency, are spread over the
    lines by net value, so that the lines add up to the paper. No lines give an empty list.

    Examples
    --------
    >>> [one.paid for one in line_sums([PaperLine(Decimal(30)), PaperLine(Decimal(10))],
    ...                                "EUR", freight=Decimal(8), tax=Decimal(4))]
    [Decimal('39.00'), Decimal('13.00')]
    """
    if not lines:
        return []
    nets = [line.net for line in lines]
    freights = spread(freight, nets, currency)
    taxes = spread(tax, nets, currency)
    return [
        LineSum(line.net, line.tax + more, carried)
        for line, more, carried in zip(lines, taxes, freights, strict=True)
    ]


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
