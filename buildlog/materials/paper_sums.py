"""What the lines of a receipt or order come to. Framework-free; amounts are exact decimals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

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
