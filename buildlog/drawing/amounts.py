"""The upright rule of a curve: round amounts with a hairline each, lettered at the left."""

from __future__ import annotations

from math import floor, log10

from buildlog.drawing.scale import Scale
from buildlog.drawing.svg import Drawing

__all__ = ["amount_rule", "shown", "steps"]


def steps(high: float, most: int = 5) -> list[float]:
    """Round amounts from nought to at least `high`, at most `most` above nought: 1, 2, 5, 10, 20…

    >>> steps(94.5), steps(0), steps(41_300, 4)
    ([0.0, 20.0, 40.0, 60.0, 80.0, 100.0], [0.0, 1.0], [0.0, 20000.0, 40000.0, 60000.0])
    """
    if high <= 0:
        return [0.0, 1.0]
    tens = 10.0 ** floor(log10(high / most))
    step = next(tens * n for n in (1, 2, 5, 10, 20) if tens * n * most >= high)
    count = next(n for n in range(1, most + 1) if n * step >= high * (1 - 1e-9))
    return [step * n for n in range(count + 1)]


def shown(amount: float) -> str:
    """An amount of the rule: no idle decimals, thousands parted by a narrow space.

    >>> shown(20000), shown(0.5)
    ('20\u202f000', '0.5')
    """
    return f"{amount:,.10g}".replace(",", "\u202f")


def amount_rule(
    drawing: Drawing, scale: Scale, values: list[float], left: float, right: float
) -> None:
    """Hairlines from `left` to `right` at the values, the amounts before them."""
    for value in values:
        y = scale(value)
        drawing.line(left, y, right, y, "d-hair" if value else "d-line")
        drawing.text(left - 6, y + 4, shown(value), "t-small t-pencil t-end")
