"""The dated rule: months named over a line, ticks for months and weeks, as many as fit."""

from __future__ import annotations

import datetime as dt

from buildlog.drawing.lettering import width
from buildlog.drawing.scale import DateScale, months, weeks
from buildlog.drawing.svg import Drawing

__all__ = ["month_lines", "rule"]

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
LEAST_WEEK = 5  # pixels between week ticks that can still be told apart
LEAST_WEEK_NAMED = 46
LETTERS = 14


def named_months(scale: DateScale) -> list[tuple[dt.date, float, str]]:
    """Months to name, thinned until the names stand clear: each, each third, each year.

    The first of them and each January carry the year.
    """
    room = 30.5 * scale.per_day
    every = 1 if room >= 34 else 3 if room * 3 >= 40 else 12
    days = list(months(scale.first, scale.last))
    if not days or scale.day(days[0]) - scale.start >= width("Nov 2026", LETTERS) + 12:
        days.insert(0, scale.first)
    named: list[tuple[dt.date, float, str]] = []
    for day in days:
        if named and (day.month - 1) % every:
            continue
        words = MONTHS[day.month - 1]
        if day.month == 1 or not named:
            words = f"{words} {day.year}"
        named.append((day, scale.day(day), words))
    return _apart(named, scale.end)


def _apart(named: list[tuple[dt.date, float, str]], end: float) -> list[tuple[dt.date, float, str]]:
    """Leave out a name that would run into the one before it, or off the rule."""
    kept: list[tuple[dt.date, float, str]] = []
    free_from = float("-inf")
    for day, x, words in named:
        if x >= free_from and x + 5 + width(words, LETTERS) <= end + 2:
            kept.append((day, x, words))
            free_from = x + width(words, LETTERS) + 8
    return kept


def rule(drawing: Drawing, scale: DateScale, y: float) -> None:
    """Draw the rule with its line at y. Names stand above it, ticks hang below."""
    for _, x, words in named_months(scale):
        drawing.text(x + 5, y - 6, words)
    drawing.line(scale.start, y, scale.end, y, "d-line")
    for day in months(scale.first, scale.last):
        drawing.line(scale.day(day), y, scale.day(day), y + 9, "d-tick")
    week = 7 * scale.per_day
    if week >= LEAST_WEEK:
        for day in weeks(scale.first, scale.last):
            x = scale.day(day)
            drawing.line(x, y, x, y + 4, "d-tick")
            if week >= LEAST_WEEK_NAMED:
                drawing.text(x + 3, y + 13, f"Mon {day.day}", "t-small t-pencil")


def month_lines(drawing: Drawing, scale: DateScale, top: float, bottom: float) -> None:
    """Hairlines down the sheet where months begin; quarters only where months crowd."""
    crowded = 30.5 * scale.per_day < 12
    drawing.line(scale.start, top, scale.start, bottom, "d-hair")
    for day in months(scale.first, scale.last):
        if crowded and day.month % 3 != 1:
            continue
        drawing.line(scale.day(day), top, scale.day(day), bottom, "d-hair")
    drawing.line(scale.end, top, scale.end, bottom, "d-hair")
