"""What one of a material cost, day by day: a stepped line, ringed where asked, full where paid."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from buildlog.drawing.amounts import amount_rule, shown, steps
from buildlog.drawing.lettering import width as width_of
from buildlog.drawing.rule import rule
from buildlog.drawing.scale import DateScale, Scale, month_after
from buildlog.drawing.svg import Drawing

__all__ = ["PriceDot", "price_steps"]

HEAD, ROOM, FOOT = 34, 110, 14


@dataclass(frozen=True, slots=True)
class PriceDot:
    """What one cost on a day, paid or only asked."""

    day: dt.date
    amount: float
    paid: bool = False


def price_steps(
    dots: Sequence[PriceDot], today: dt.date, currency: str, width: float = 358, key: str = "prices"
) -> Drawing:
    """Draw prices in the order of their days, up to today, `width` pixels wide.

    A price holds until the next; of two on one day the later in the list. The rule begins at
    nought, so that heights compare. Raises ValueError without a price.
    """
    if not dots:
        raise ValueError("there is no price to draw")
    last = max(today, dots[-1].day)
    first = dots[0].day.replace(day=1)
    values = steps(max(dot.amount for dot in dots), 4)
    left = 10 + max(width_of(shown(value), 12) for value in values)
    across = DateScale(
        first, max(month_after(last), month_after(month_after(first))), left, width - 8
    )
    up = Scale(0, values[-1], HEAD + ROOM, HEAD)
    drawing = Drawing(key, width, HEAD + ROOM + FOOT, "What one cost", _words(dots, currency))
    amount_rule(drawing, up, values, left, width - 8)
    rule(drawing, across, HEAD - 10)
    path: list[tuple[float, float]] = []
    for dot in dots:
        x, y = across.day(dot.day), up(dot.amount)
        path += [(x, path[-1][1]), (x, y)] if path else [(x, y)]
    path.append((across.day(last), path[-1][1]))
    drawing.polyline(path, "d-line d-blue")
    for dot in dots:
        mark = "c-full" if dot.paid else "c-ring"
        drawing.begin(title=f"{dot.day:%-d %b %Y}: {dot.amount:.2f} {currency}")
        drawing.circle(across.day(dot.day), up(dot.amount), 4, mark)
        drawing.end()
    return drawing


def _words(dots: Sequence[PriceDot], currency: str) -> str:
    first, last = dots[0], dots[-1]
    low, high = min(dot.amount for dot in dots), max(dot.amount for dot in dots)
    return (
        f"{first.amount:.2f} {currency} on {first.day:%-d %b %Y}, "
        f"{last.amount:.2f} on {last.day:%-d %b %Y}; lowest {low:.2f}, highest {high:.2f}."
    )
