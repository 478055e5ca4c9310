"""The launch date as it stood week by week: days across, launch dates upright."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from buildlog.drawing.lettering import width as width_of
from buildlog.drawing.rule import MONTHS, month_lines, rule
from buildlog.drawing.scale import DateScale, Scale, month_after, months
from buildlog.drawing.svg import Drawing

__all__ = ["launch_curve"]

HEAD, FOOT = 38, 28
ROOM = 20  # above the latest launch, for its date
MOST_LINES = 7  # hairlines for launch dates


def launch_curve(
    points: Sequence[tuple[dt.date, dt.date]],
    planned: tuple[str, dt.date] | None = None,
    width: float = 780,
    height: float = 260,
    key: str = "launches",
) -> Drawing:
    """Draw the launch that was reckoned on each day, the last of them as of now.

    Parameters
    ----------
    points
        Day, and the launch as it stood on it, in the order of the days.
    planned
        Name and launch of the baseline, drawn as dashes across.
    width, height
        Of the drawing in pixels.

    Raises ValueError without a point. A rise of the line is a launch that moved to later.
    """
    if not points:
        raise ValueError("there is no launch to draw")
    days = [launch for _, launch in points] + ([planned[1]] if planned else [])
    low, high = min(days).replace(day=1), month_after(max(days))
    marks = _marks(low, high)
    left = 12 + max(width_of(_month(day), 12) for day in marks)
    first, last = points[0][0].replace(day=1), points[-1][0]
    across = DateScale(first, max(month_after(last), month_after(first)), left, width - 4)
    upright = Scale(low.toordinal(), high.toordinal(), height - FOOT, HEAD + ROOM)
    drawing = Drawing(key, width, height, "The launch, week by week", _words(points, planned))
    month_lines(drawing, across, HEAD - 12, height - FOOT)
    for day in marks:
        y = upright(day.toordinal())
        drawing.line(left, y, width - 4, y, "d-line" if day == low else "d-hair")
        drawing.text(left - 6, y + 4, _month(day), "t-small t-pencil t-end")
    rule(drawing, across, HEAD - 12)
    path = [(across.day(day), upright(launch.toordinal())) for day, launch in points]
    if planned:
        _planned(drawing, upright(planned[1].toordinal()), path, planned[0], (left, width - 4))
    drawing.polyline(path, "d-line d-blue c-spent")
    for (day, launch), (x, y) in zip(points, path, strict=True):
        drawing.begin(title=f"{_day(day)}: launch {_day(launch)}")
        drawing.circle(x, y, 5 if day == last else 2.5, "c-full")
        drawing.end()
    _now(drawing, path[-1], _day(points[-1][1]), across)
    return drawing


def _planned(
    drawing: Drawing,
    y: float,
    path: Sequence[tuple[float, float]],
    name: str,
    ends: tuple[float, float],
) -> None:
    """The baseline as dashes, its name at the end and on the side where the curve is not."""
    drawing.line(ends[0], y, ends[1], y, "d-dash")
    room = (ends[1] - ends[0]) * 0.5
    shown = name if width_of(name, 12) < room else name[:20] + "…"
    at_end = abs(path[-1][1] - y) >= abs(path[0][1] - y)
    curve = path[-1][1] if at_end else path[0][1]
    below = curve <= y and y + 16 < drawing.height - FOOT
    x, cls = (ends[1] - 6, " t-end") if at_end else (ends[0] + 6, "")
    drawing.text(x, y + 14 if below else y - 6, shown, f"t-small t-pencil{cls}")


def _now(drawing: Drawing, last: tuple[float, float], words: str, across: DateScale) -> None:
    x, y = last
    if x - width_of(words, 14) - 8 > across.start:
        drawing.text(x + 4, y - 9, words, "t-end t-bold")
    else:
        drawing.text(x + 8, y - 9, words, "t-bold")


def _marks(low: dt.date, high: dt.date) -> list[dt.date]:
    """Firsts of months to draw a hairline at: each, each third, or each year's."""
    all_months = [low, *months(low + dt.timedelta(days=1), high), high]
    for every in (1, 3, 12, 60, 240):
        kept = [day for day in all_months if (day.year * 12 + day.month - 1) % every == 0]
        if len(kept) <= MOST_LINES:
            return kept or [low]
    return [low, high]


def _month(day: dt.date) -> str:
    return f"{MONTHS[day.month - 1]} {day.year}"


def _day(day: dt.date) -> str:
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def _words(points: Sequence[tuple[dt.date, dt.date]], planned: tuple[str, dt.date] | None) -> str:
    (first, then), (last, now) = points[0], points[-1]
    words = f"On {_day(first)} the launch stood at {_day(then)}, on {_day(last)} at {_day(now)}."
    if planned:
        words += f" The baseline “{planned[0]}” has {_day(planned[1])}."
    return words + " The table below says the same week by week."
