"""The forecast drawn: how many runs launch when, with the early, middle and late tenth marked."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from buildlog.drawing.lettering import width as width_of
from buildlog.drawing.rule import month_lines, rule
from buildlog.drawing.scale import DateScale, Scale, month_after
from buildlog.drawing.svg import Drawing

__all__ = ["launch_spread"]

HEAD, FOOT = 40, 46
MARKS = ("one in ten", "half", "nine in ten")


def launch_spread(
    bars: Sequence[tuple[dt.datetime, dt.datetime, float]],
    marks: tuple[dt.datetime, dt.datetime, dt.datetime],
    planned: dt.datetime | None,
    width: float = 820,
    height: float = 210,
    key: str = "spread",
) -> Drawing:
    """Draw (from, to, share of the runs) as bars on a dated rule.

    `marks` are the moments by which one in ten, half and nine in ten of the runs have launched;
    `planned` is the launch if all goes as planned, drawn as a chain line where it lies on the rule.

    Raises ValueError without a bar.
    """
    if not bars:
        raise ValueError("there is no run to draw")
    ends = [bars[0][0], bars[-1][1], *marks]
    if planned is not None:
        ends.append(planned)
    first = min(ends).date().replace(day=1)
    across = DateScale(first, month_after(max(ends).date()), 4, width - 4)
    up = Scale(0, max(share for _, _, share in bars) or 1.0, height - FOOT, HEAD + 8)
    words = "; ".join(
        f"{name} of the runs by {mark:%-d %b %Y}" for name, mark in zip(MARKS, marks, strict=True)
    )
    drawing = Drawing(key, width, height, "When she is launched", f"{words}.")
    month_lines(drawing, across, HEAD - 12, up(0))
    rule(drawing, across, HEAD - 12)
    for begin, end, share in bars:
        left, right, top = across(begin), across(end), up(share)
        if share:
            drawing.rect(left, top, max(right - left - 1, 1), up(0) - top, "c-bar")
    drawing.line(across.start, up(0), across.end, up(0), "d-line")
    _span(drawing, across, marks, up(0))
    if planned is not None:
        _planned(drawing, across, planned, up(0))
    return drawing


def _span(drawing: Drawing, across: DateScale, marks: tuple[dt.datetime, ...], foot: float) -> None:
    """The eight runs in ten between the tenths, as a dimension line with the half marked."""
    early, middle, late = (across(mark) for mark in marks)
    y = foot + 14
    drawing.line(early, y, late, y, "d-line")
    for x in (early, late):
        drawing.line(x, y - 6, x, y + 6, "d-line")
    drawing.circle(middle, y, 4, "c-full")
    words = f"{marks[0]:%b %Y} … {marks[1]:%b %Y} … {marks[2]:%b %Y}"
    half = width_of(words, 12) / 2
    centre = min(max((early + late) / 2, across.start + half), across.end - half)
    drawing.text(centre - half, y + 20, words, "t-small")


def _planned(drawing: Drawing, across: DateScale, planned: dt.datetime, foot: float) -> None:
    x = across(planned)
    drawing.line(x, HEAD - 18, x, foot, "d-today")
    ends = x > across.end - 70
    drawing.text(
        x - 5 if ends else x + 5, HEAD + 12, "as planned", "t-small t-end" if ends else "t-small"
    )
