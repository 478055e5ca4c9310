"""A week's pattern of shop hours, laid on dated days in a time zone."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from tasks.network.exceptions import BadCalendar

__all__ = ["DAY", "EPOCH", "Stretch", "WeekPattern", "join_touching"]

Stretch = tuple[int, int]

#: Minutes of a day, and the ordinal of 1970-01-01.
DAY = 1440
EPOCH = date(1970, 1, 1).toordinal()
#: Days laid out at once that are kept for the next who asks: some ten thousand stretches at most.
_MOST_KEPT_DAYS = 10 * 366


def join_touching(stretches: Iterable[Stretch]) -> list[Stretch]:
    """Sort stretches and make one of those that touch or overlap.

    >>> join_touching([(8, 12), (0, 4), (12, 13), (2, 5)])
    [(0, 5), (8, 13)]
    """
    joined: list[Stretch] = []
    for start, end in sorted(stretches):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        else:
            joined.append((start, end))
    return joined


class WeekPattern:
    """Shop hours that repeat weekly by the wall clock of a time zone, less days off.

    Parameters
    ----------
    week
        For each weekday (0 = Monday), its stretches as (start, end) in minutes of the day, the end
        at most 1440. Overlapping stretches are taken together; a missing day has none. Work over
        midnight is written as two stretches, which are joined.
    zone
        An IANA time zone name.
    days_off
        Dates without shop hours.

    Raises
    ------
    BadCalendar
        If a day, a time or the zone cannot be.

    Notes
    -----
    On the day when clocks go forward, a wall-clock time that does not exist stands for the moment
    of the jump. On the day when they go back, a stretch that begins in the repeated hour begins at
    its first passing, and one that ends in it ends at its second.
    """

    def __init__(
        self,
        week: Mapping[int, Sequence[Stretch]],
        zone: str,
        days_off: Collection[date] = frozenset(),
    ) -> None:
        for day, stretches in week.items():
            if day not in range(7):
                raise BadCalendar(f"weekday {day!r}: must be from 0 (Monday) to 6")
            for start, end in stretches:
                if not 0 <= start < end <= DAY:
                    raise BadCalendar(
                        f"weekday {day}: a stretch must start before it ends, within 0 to 1440 "
                        f"minutes of the day, not {start} to {end}"
                    )
        try:
            self.zone = ZoneInfo(zone)
        except (KeyError, ValueError, OSError) as error:
            raise BadCalendar(f"there is no time zone {zone!r}") from error
        self.days = tuple(tuple(join_touching(week.get(day, ()))) for day in range(7))
        self.days_off = frozenset(day.toordinal() for day in days_off)

    @property
    def weekly_minutes(self) -> int:
        """Shop minutes in a week without days off and clock changes."""
        return sum(end - start for day in self.days for start, end in day)

    @property
    def longest_stretch(self) -> int | None:
        """Shop minutes of the longest stretch in the pattern; None where it never ends."""
        # Two weeks in a row join what runs over midnight, and over Sunday night.
        fortnight = join_touching(
            (DAY * day + start, DAY * day + end)
            for day in range(14)
            for start, end in self.days[day % 7]
        )
        longest = max((end - start for start, end in fortnight), default=0)
        return None if longest >= 14 * DAY else longest

    def stretches(self, first: int, last: int) -> list[Stretch]:
        """Stretches in clock minutes of the days from `first` up to, not including, `last`.

        Days are proleptic ordinals, as `date.toordinal` gives them.
        """
        lay = _lay if last - first <= _MOST_KEPT_DAYS else _lay.__wrapped__
        return list(lay(self.zone, self.days, self.days_off, first, last))


# Plans of one build lay the same weeks on the same days again and again: all that depends on
# nothing but its arguments is kept, the latest of it, but no centuries.
@lru_cache(maxsize=64)
def _lay(
    zone: ZoneInfo,
    days: tuple[tuple[Stretch, ...], ...],
    days_off: frozenset[int],
    first: int,
    last: int,
) -> tuple[Stretch, ...]:
    laid: list[Stretch] = []
    offset = _offset(zone, first)
    for day in range(first, last):
        offset_after = _offset(zone, day + 1)
        # date.toordinal(1) is a Monday, so ordinal 1 has weekday 0.
        hours = () if day in days_off else days[(day - 1) % 7]
        if offset == offset_after:
            midnight = (day - EPOCH) * DAY - offset
            laid.extend((midnight + start, midnight + end) for start, end in hours)
        else:
            laid.extend(
                (_instant(zone, day, start, last=False), _instant(zone, day, end, last=True))
                for start, end in hours
            )
        offset = offset_after
    return tuple(join_touching(stretch for stretch in laid if stretch[0] < stretch[1]))


@lru_cache(maxsize=16_384)
def _offset(zone: ZoneInfo, day: int) -> int:
    """Minutes that the wall clock is ahead of UTC as the day begins."""
    return _minutes(datetime.fromordinal(day).replace(tzinfo=zone).utcoffset())


def _instant(zone: ZoneInfo, day: int, minute: int, *, last: bool) -> int:
    """Clock minute of a wall-clock time; where it comes twice, the first or the last."""
    wall = datetime.fromordinal(day) + timedelta(minutes=minute)
    naive = (day - EPOCH) * DAY + minute
    first_offset = _minutes(wall.replace(tzinfo=zone, fold=0).utcoffset())
    last_offset = _minutes(wall.replace(tzinfo=zone, fold=1).utcoffset())
    if last_offset > first_offset:
        return _jump(zone, naive - last_offset, naive - first_offset)
    return naive - (last_offset if last else first_offset)


def _jump(zone: ZoneInfo, low: int, high: int) -> int:
    """First clock minute after `low`, at most `high`, with the offset that rules at `high`."""
    after = _offset_at(zone, high)
    while high - low > 1:
        middle = (low + high) // 2
        if _offset_at(zone, middle) == after:
            high = middle
        else:
            low = middle
    return high


def _offset_at(zone: ZoneInfo, clock: int) -> int:
    return _minutes(datetime.fromtimestamp(clock * 60, UTC).astimezone(zone).utcoffset())


def _minutes(offset: timedelta | None) -> int:
    return round(offset.total_seconds() / 60) if offset is not None else 0
