"""When something may happen: the hours of a task, and how much of a thing there is at a time.

All of it is asked for by clock minutes (whole minutes since 1970-01-01T00:00Z), so that hours by
different walls, weeks and seasons meet on one line.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Protocol
from zoneinfo import ZoneInfo

from tasks.network.exceptions import BadCalendar, BadValue
from tasks.network.week import DAY, EPOCH, Stretch, join_touching

__all__ = ["Booking", "Both", "Capacity", "Either", "Hours", "Season", "Span", "overlap"]

MonthDay = tuple[int, int]


class Hours(Protocol):
    """Anything that knows its open stretches; `Calendar` is one."""

    def stretches_between(self, first: int, last: int) -> list[Stretch]:
        """Open stretches from clock minute `first` to `last`, in order, cut off at both."""
        ...


def overlap(one: Sequence[Stretch], other: Sequence[Stretch]) -> list[Stretch]:
    """What lies in both of two ordered lists of stretches.

    >>> overlap([(0, 5), (7, 9)], [(3, 8)])
    [(3, 5), (7, 8)]
    """
    both, i, j = [], 0, 0
    while i < len(one) and j < len(other):
        start, end = max(one[i][0], other[j][0]), min(one[i][1], other[j][1])
        if start < end:
            both.append((start, end))
        if one[i][1] < other[j][1]:
            i += 1
        else:
            j += 1
    return both


@dataclass(frozen=True, slots=True)
class Both:
    """Hours that lie in each of two: the shop's, and those that a task keeps to."""

    one: Hours
    other: Hours

    def stretches_between(self, first: int, last: int) -> list[Stretch]:
        return overlap(
            self.one.stretches_between(first, last), self.other.stretches_between(first, last)
        )


@dataclass(frozen=True, slots=True)
class Either:
    """Hours that lie in one of several: the warm season, and the weeks in which it is heated.

    Examples
    --------
    >>> Either((Span(0, 5), Span(5, 8), Span(20, 30))).stretches_between(0, 25)
    [(0, 8), (20, 25)]
    """

    hours: tuple[Hours, ...]

    def stretches_between(self, first: int, last: int) -> list[Stretch]:
        return join_touching(
            stretch for one in self.hours for stretch in one.stretches_between(first, last)
        )


@dataclass(frozen=True, slots=True)
class Span:
    """One stretch from a clock minute to another.

    Raises
    ------
    BadCalendar
        If it does not start before it ends.
    """

    start: int
    end: int

    def __post_init__(self) -> None:
        if not self.start < self.end:
            raise BadCalendar(
                f"a stretch must start before it ends, not {self.start} to {self.end}"
            )

    def stretches_between(self, first: int, last: int) -> list[Stretch]:
        start, end = max(self.start, first), min(self.end, last)
        return [(start, end)] if start < end else []


@dataclass(frozen=True, slots=True)
class Season:
    """Part of every year, day and night, from one (month, day) to another, both included.

    A season may run over the new year. One that ends on 29 February ends a day earlier in other
    years; one that begins there begins on 1 March.

    Raises
    ------
    BadCalendar
        If a day or the zone cannot be.

    Examples
    --------
    >>> warm = Season((4, 15), (10, 15), "UTC")
    >>> warm.stretches_between(0, 525_600)
    [(149760, 414720)]
    """

    first: MonthDay
    last: MonthDay
    zone: str

    def __post_init__(self) -> None:
        try:
            ZoneInfo(self.zone)
        except (KeyError, ValueError, OSError) as error:
            raise BadCalendar(f"there is no time zone {self.zone!r}") from error
        for month, day in (self.first, self.last):
            try:
                date(2000, month, day)
            except (TypeError, ValueError) as error:
                raise BadCalendar(f"no day of the year: month {month}, day {day}") from error

    def stretches_between(self, first: int, last: int) -> list[Stretch]:
        years = range(_year(first) - 2, _year(last) + 2)
        over = self.last < self.first
        laid = []
        for year in years:
            begin = _midnight(year, self.first, self.zone)
            end = _midnight(year + over, self.last, self.zone, after=True)
            if max(begin, first) < min(end, last):
                laid.append((max(begin, first), min(end, last)))
        return join_touching(laid)


def _year(clock: int) -> int:
    return date.fromordinal(clock // DAY + EPOCH).year


def _midnight(year: int, day: MonthDay, zone: str, *, after: bool = False) -> int:
    """Clock minute at which a day of a year begins, or ends."""
    month, number = day
    here = ZoneInfo(zone)
    if day == (2, 29) and not _is_leap(year):
        wall = datetime(year, 3, 1, tzinfo=here)
    else:
        wall = datetime(year, month, number, tzinfo=here) + timedelta(days=after)
    return int(wall.timestamp() // 60)


def _is_leap(year: int) -> bool:
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


@dataclass(frozen=True, slots=True)
class Booking:
    """More of something (or less) at certain hours: a helper every Saturday, a tent for a week.

    Parameters
    ----------
    extra
        How many more; negative for fewer.
    hours
        When. A `Calendar` for days of the week, a `Span` or a `Season`.
    """

    extra: int
    hours: Hours


@dataclass(frozen=True, slots=True)
class Capacity:
    """How many there are of something countable.

    Parameters
    ----------
    base
        How many there are always, at least 0.
    bookings
        What comes and goes. Bookings at one time add up; there are never fewer than 0.

    Raises
    ------
    BadValue
        If a count is not a whole number, or the base is negative.

    Examples
    --------
    >>> Capacity(1, (Booking(1, Span(10, 20)), Booking(2, Span(15, 30)))).levels(0, 40)
    [(0, 1), (10, 2), (15, 4), (20, 3), (30, 1)]
    """

    base: int
    bookings: tuple[Booking, ...] = ()

    def __post_init__(self) -> None:
        counts = [self.base, *(booking.extra for booking in self.bookings)]
        if any(type(count) is not int for count in counts) or self.base < 0:
            raise BadValue(f"a capacity must be a whole number from 0, not {counts}")

    def levels(self, first: int, last: int) -> list[tuple[int, int]]:
        """(clock minute, how many from then on), from `first` to `last`, each a change."""
        changes: dict[int, int] = {first: self.base}
        for booking in self.bookings:
            for start, end in booking.hours.stretches_between(first, last):
                changes[start] = changes.get(start, 0) + booking.extra
                changes[end] = changes.get(end, 0) - booking.extra
        levels: list[tuple[int, int]] = []
        count = 0
        for clock in sorted(changes):
            count += changes[clock]
            shown = max(count, 0)
            if clock < last and (not levels or levels[-1][1] != shown):
                levels.append((clock, shown))
        return levels

    def stretches_with(self, least: int, first: int, last: int) -> list[Stretch]:
        """Stretches in which there are at least so many."""
        levels = self.levels(first, last)
        ends: Iterable[int] = [clock for clock, _ in levels[1:]] + [last]
        return join_touching(
            (clock, end)
            for (clock, count), end in zip(levels, ends, strict=True)
            if count >= least and clock < end
        )
