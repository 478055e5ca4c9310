"""From quantities and dates to pixels."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

__all__ = ["DateScale", "Scale", "month_after", "months", "weeks"]

DAY_SECONDS = 86_400


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight scale from one stretch of numbers to one of pixels.

    >>> Scale(0, 10, 100, 200)(2.5)
    125.0
    """

    low: float
    high: float
    start: float
    end: float

    def __post_init__(self) -> None:
        if not self.low < self.high:
            raise ValueError(f"a scale must rise, not run from {self.low} to {self.high}")

    def __call__(self, value: float) -> float:
        part = (value - self.low) / (self.high - self.low)
        return self.start + part * (self.end - self.start)


@dataclass(frozen=True, slots=True)
class DateScale:
    """A scale of days, by the wall clock: every day is equally wide, 23 or 25 hours or not.

    Parameters
    ----------
    first, last
        First day shown, and the day after the last one.
    start, end
        Pixels at the beginning of `first` and of `last`.

    >>> scale = DateScale(dt.date(2026, 11, 1), dt.date(2026, 11, 11), 0, 100)
    >>> scale(dt.datetime(2026, 11, 2, 12)), scale.day(dt.date(2026, 11, 3))
    (15.0, 20.0)
    """

    first: dt.date
    last: dt.date
    start: float
    end: float

    def __post_init__(self) -> None:
        if not self.first < self.last:
            raise ValueError(f"a dated scale must rise, not run from {self.first} to {self.last}")

    @property
    def per_day(self) -> float:
        """Pixels of one day."""
        return (self.end - self.start) / (self.last - self.first).days

    def day(self, day: dt.date) -> float:
        """Where a day begins."""
        return self.start + (day - self.first).days * self.per_day

    def __call__(self, moment: dt.datetime) -> float:
        """Where a moment lies, by its own wall clock."""
        seconds = moment.hour * 3600 + moment.minute * 60 + moment.second
        return self.day(moment.date()) + seconds / DAY_SECONDS * self.per_day

    def clamp(self, x: float) -> float:
        """The same place, or the nearer edge."""
        return min(max(x, self.start), self.end)


def month_after(day: dt.date) -> dt.date:
    """The first day of the next month."""
    return dt.date(day.year + day.month // 12, day.month % 12 + 1, 1)


def months(first: dt.date, last: dt.date) -> Iterator[dt.date]:
    """The first days of months from `first` to before `last`.

    >>> [str(day) for day in months(dt.date(2026, 11, 2), dt.date(2027, 1, 2))]
    ['2026-12-01', '2027-01-01']
    """
    day = first if first.day == 1 else month_after(first)
    while day < last:
        yield day
        day = month_after(day)


def weeks(first: dt.date, last: dt.date) -> Iterator[dt.date]:
    """The Mondays from `first` to before `last`."""
    day = first + dt.timedelta(days=-first.weekday() % 7)
    while day < last:
        yield day
        day += dt.timedelta(days=7)
