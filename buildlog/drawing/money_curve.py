"""Money spent so far, summed month by month, today marked, and on to the expected total."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from buildlog.drawing.amounts import amount_rule, shown, steps
from buildlog.drawing.lettering import width as width_of
from buildlog.drawing.rule import month_lines, rule
from buildlog.drawing.scale import DateScale, Scale, month_after
from buildlog.drawing.svg import Drawing

__all__ = ["money_curve"]

HEAD, FOOT = 38, 26


def money_curve(
    spent: Sequence[tuple[dt.date, float]],
    today: dt.date,
    launch: dt.date | None,
    expected: float,
    currency: str,
    width: float = 820,
    height: float = 250,
    key: str = "money",
) -> Drawing:
    """Draw what was spent up to each day, the last of them today.

    The dashes from today to the launch are straight: they end at the expected total, and say
    nothing of the months between. Without a launch to come they are left out.

    Raises ValueError without a day.
    """
    if not spent:
        raise ValueError("there is no day to draw")
    first, now = spent[0][0].replace(day=1), spent[-1][1]
    ahead = launch if launch and launch > today else None
    last = month_after(max(ahead or today, spent[-1][0]))
    values = steps(max(expected, now, 1), 4)
    left = 10 + max(width_of(shown(value), 12) for value in values)
    across = DateScale(first, max(last, month_after(month_after(first))), left, width - 4)
    up = Scale(0, values[-1], height - FOOT, HEAD)
    words = f"{shown(round(now))} {currency} spent by {today:%-d %b %Y}; expected total "
    words += f"{shown(round(expected))}"
    words += f" at the launch, {ahead:%-d %b %Y}." if ahead else "."
    drawing = Drawing(key, width, height, "Money spent", words)
    month_lines(drawing, across, HEAD - 12, up(0))
    amount_rule(drawing, up, values, left, width - 4)
    rule(drawing, across, HEAD - 12)
    curve = [(across.day(day), up(amount)) for day, amount in spent]
    foot = [(curve[-1][0], up(0)), (curve[0][0], up(0))]
    drawing.polyline([*curve, *foot], "c-under")
    drawing.polyline(curve, "d-line d-blue c-spent")
    _today(drawing, across, today, up(0))
    if ahead:
        _on_to(drawing, curve[-1], (across.day(ahead), up(expected)), across, expected)
    x, y = curve[-1]
    drawing.circle(x, y, 4, "c-full")
    _beside(drawing, x, y, f"spent {shown(round(now))}", across)
    return drawing


def _today(drawing: Drawing, across: DateScale, today: dt.date, foot: float) -> None:
    x = across.day(today)
    drawing.line(x, HEAD - 18, x, foot + 6, "d-today")
    ends = x > across.end - 40
    drawing.text(
        x - 5 if ends else x + 5, foot + 18, "today", "t-small t-end" if ends else "t-small"
    )


def _on_to(
    drawing: Drawing,
    start: tuple[float, float],
    end: tuple[float, float],
    across: DateScale,
    expected: float,
) -> None:
    drawing.polyline([start, end], "d-dash")
    drawing.circle(*end, 4, "c-ring")
    drawing.line(end[0], end[1], end[0], drawing.height - FOOT, "d-dash")
    _beside(drawing, *end, f"expected {shown(round(expected))}", across)
    x, ends = end[0], end[0] > across.end - 50
    drawing.text(
        x - 5 if ends else x + 5, drawing.height - FOOT + 18, "launch",
        "t-small t-end" if ends else "t-small",
    )  # fmt: skip


def _beside(drawing: Drawing, x: float, y: float, words: str, across: DateScale) -> None:
    """Words left above a point, or right of it where there is no room on the left."""
    if x - width_of(words, 14) - 8 > across.start:
        drawing.text(x - 8, y - 7, words, "t-end t-bold")
    else:
        drawing.text(x + 8, y - 7, words, "t-bold")
