"""What a purchase comes to, line by line, in its own currency and in the build's."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from buildlog.materials.models import ZERO, Purchase, PurchaseLine
from buildlog.materials.paper_sums import LineSum, PaperLine, line_sums


@dataclass(frozen=True, slots=True)
class PaperRow:
    """A line with its sums: `own` in the paper's currency, `paid` in the build's if known."""

    line: PurchaseLine
    own: LineSum
    rate: Decimal | None

    @property
    def paid(self) -> Decimal | None:
        return None if self.rate is None else self.own.paid * self.rate

    @property
    def unit_net(self) -> Decimal | None:
        """What one cost, net, in the build's currency."""
        return None if self.rate is None else self.own.net * self.rate / self.line.quantity


@dataclass(frozen=True, slots=True)
class Paper:
    purchase: Purchase
    rows: list[PaperRow]

    @property
    def own_total(self) -> Decimal:
        return sum((row.own.paid for row in self.rows), ZERO)

    @property
    def total(self) -> Decimal | None:
        """In the build's currency; None while the rate is not known."""
        rate = self.purchase.rate
        return None if rate is None else self.own_total * rate


def paper_of(purchase: Purchase) -> Paper:
    """The sums of a purchase whose lines are loaded, with no query of its own if prefetched."""
    lines = list(purchase.lines.all())
    sums = line_sums(
        [PaperLine(line.net, line.tax) for line in lines],
        purchase.currency,
        purchase.freight,
        purchase.tax,
    )
    rows = [PaperRow(line, own, purchase.rate) for line, own in zip(lines, sums, strict=True)]
    return Paper(purchase, rows)
