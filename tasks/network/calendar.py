"""Shop hours to clock time and back, by look-up in a table of stretches.

A *shop minute* is counted from the calendar's origin: `shop_at` tells how many shop minutes have
passed at a clock minute. The end of one stretch and the start of the next are the same shop minute;
`clock_at_finish` shows it as the former and `clock_at_start` as the latter.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import UTC, date, tzinfo
from operator import itemgetter

from tasks.network.exceptions import BadCalendar, NoShopHours, OutOfShopHours
from tasks.network.table import NEVER, StretchTable
from tasks.network.week import DAY, EPOCH, Stretch, WeekPattern, join_touching

__all__ = ["Calendar"]

_FOREVER = 2**50
#: A plan that runs further than this from its calendar's first day is taken for a mistake.
_MOST_DAYS = 250 * 366


class Calendar:
    """Shop hours as stretches of clock minutes.

    Parameters
    ----------
    stretches
        (start, end) in clock minutes, start before end. What touches or overlaps is joined. Nothing
        lies outside them: work that does not fit raises `OutOfShopHours`. The other two ways to
        make a calendar, `from_week` and `always`, never run out.

    Raises
    ------
    BadCalendar
        If a stretch does not start before it ends.

    Examples
    --------
    >>> calendar = Calendar([(540, 600), (700, 800)])
    >>> calendar.shop_at(550), calendar.shop_at(650), calendar.shop_at(700)
    (10, 60, 60)
    >>> calendar.clock_at_finish(60), calendar.clock_at_start(60)
    (600, 700)

    Notes
    -----
    A look-up costs one binary search. A calendar made from a week lays out more days as they are
    asked for; shop minutes already given out keep their meaning.

    Attributes: `table`, what is laid out so far; `longest_stretch`, the shop minutes of the longest
    stretch (of a usual week), None where it never ends.
    """

    def __init__(self, stretches: Iterable[Stretch]) -> None:
        laid = list(stretches)
        for start, end in laid:
            if not start < end:
                raise BadCalendar(f"a stretch must start before it ends, not {start} to {end}")
        laid = join_touching(laid)
        self.table = StretchTable(laid)
        self.longest_stretch: int | None = max((end - start for start, end in laid), default=0)
        self._pattern: WeekPattern | None = None
        # Outside these clock minutes more days must be laid out first.
        self._known_from, self._known_to = -NEVER, NEVER
        self._first_day = self._last_day = self._origin_day = 0

    @classmethod
    def always(cls) -> Calendar:
        """A calendar in which every minute is a shop minute, for textbook networks.

        >>> Calendar.always().shop_at(42)
        42
        """
        calendar = cls(())
        calendar.table = StretchTable([(-_FOREVER, _FOREVER)], passed=-_FOREVER)
        calendar.longest_stretch = None
        return calendar

    @classmethod
    def from_week(
        cls,
        week: Mapping[int, Sequence[Stretch]],
        zone: str,
        days_off: Collection[date] = frozenset(),
        first_day: date = date(2000, 1, 1),
        last_day: date | None = None,
    ) -> Calendar:
        """Shop hours that repeat weekly by the wall clock, less days off.

        Parameters
        ----------
        week
            For each weekday (0 = Monday), stretches as (start, end) in minutes of the day, the end
            at most 1440. A missing day has none.
        zone
            An IANA time zone name. `WeekPattern` tells what happens when clocks change.
        days_off
            Dates without shop hours.
        first_day, last_day
            The days to lay out at once. Others are added when they are asked for, so this limits
            nothing; a good guess saves time.

        Raises
        ------
        BadCalendar
            If a day, a time or the zone cannot be.

        Examples
        --------
        >>> evenings = Calendar.from_week({4: [(1080, 1260)]}, "UTC", (), date(1970, 1, 1))
        >>> evenings.clock_at_start(0), evenings.clock_at_finish(180), evenings.clock_at_start(180)
        (2520, 2700, 12600)
        """
        calendar = cls(())
        calendar._pattern = pattern = WeekPattern(week, zone, days_off)
        calendar.longest_stretch = pattern.longest_stretch
        origin = first_day.toordinal()
        last = origin + 366 if last_day is None else last_day.toordinal() + 1
        if last <= origin:
            raise BadCalendar(f"the last day, {last_day}, lies before the first, {first_day}")
        calendar._known_from = calendar._known_to = 0
        calendar._origin_day = calendar._first_day = calendar._last_day = origin
        calendar._lay_until(last)
        return calendar

    @property
    def zone(self) -> tzinfo:
        """The time zone of the wall clock; UTC where the calendar has none."""
        return self._pattern.zone if self._pattern else UTC

    @property
    def stretches(self) -> list[Stretch]:
        """The stretches laid out so far, in clock minutes, in order."""
        return list(self.table.stretches)

    def stretches_between(self, first: int, last: int) -> list[Stretch]:
        """The stretches of shop hours from clock minute `first` to `last`, cut off at both."""
        self.lay_out(first, last)
        laid = self.table.stretches
        low = bisect_right(laid, first, key=itemgetter(1))
        between = list(laid[low : bisect_left(laid, last, low, key=itemgetter(0))])
        if between:
            between[0] = max(between[0][0], first), between[0][1]
            between[-1] = between[-1][0], min(between[-1][1], last)
        return between

    def shop_at(self, clock: int) -> int:
        """Shop minutes passed at a clock minute."""
        self.lay_out(clock, clock)
        return self.table.shop_at(clock)

    def shop_between(self, first: int, last: int) -> int:
        """Shop minutes from one clock minute to another; negative if `last` is the earlier."""
        return self.shop_at(last) - self.shop_at(first)

    def clock_at_start(self, shop: int) -> int:
        """Clock minute at which work that starts at a shop minute starts: the latest it can be.

        Raises
        ------
        NoShopHours
            If the calendar has no shop hours at all.
        OutOfShopHours
            If they end before.
        """
        while not self.table.first <= shop < self.table.last:
            self.lay_out_more(forward=shop >= self.table.first)
        return self.table.clock_at_start(shop)

    def clock_at_finish(self, shop: int) -> int:
        """Clock minute at which work that finishes at a shop minute finishes: the earliest.

        Raises
        ------
        NoShopHours
            If the calendar has no shop hours at all.
        OutOfShopHours
            If they end before.
        """
        if self._pattern is None and self.table.stretches and shop == self.table.first:
            return self.table.stretches[0][0]
        while not self.table.first < shop <= self.table.last:
            self.lay_out_more(forward=shop > self.table.first)
        return self.table.clock_at_finish(shop)

    def knows(self, clock: int) -> bool:
        """Whether all days up to a clock minute are laid out."""
        return clock < self._known_to

    def lay_out(self, first: int, last: int) -> None:
        """Lay out all days from clock minute `first` to `last`."""
        while first < self._known_from:
            self._lay_since(min(first // DAY + EPOCH - 2, 2 * self._first_day - self._last_day))
        while last > self._known_to:
            self._lay_until(max(last // DAY + EPOCH + 3, 2 * self._last_day - self._first_day))

    def lay_out_more(self, *, forward: bool = True) -> None:
        """Double the days laid out.

        Raises
        ------
        NoShopHours
            If the calendar has no shop hours at all.
        OutOfShopHours
            If there are no more.
        """
        is_empty = self.table.first == self.table.last
        if is_empty and (self._pattern is None or not self._pattern.weekly_minutes):
            raise NoShopHours("there is work to plan, but the calendar has no shop hours")
        if self._pattern is None:
            where = "past the end of" if forward else "before the beginning of"
            raise OutOfShopHours(f"the work runs {where} the calendar's shop hours")
        days = max(self._last_day - self._first_day, 28)
        if forward:
            self._lay_until(self._last_day + days)
        else:
            self._lay_since(self._first_day - days)

    def _lay_until(self, day: int) -> None:
        limit = min(self._origin_day + _MOST_DAYS, date.max.toordinal() - 2)
        if self._last_day >= limit:
            raise OutOfShopHours("the work does not end within 250 years of shop hours")
        self._lay(self._last_day, min(day, limit))

    def _lay_since(self, day: int) -> None:
        limit = max(self._origin_day - _MOST_DAYS, 3)
        if self._first_day <= limit:
            raise OutOfShopHours("the work begins more than 250 years before the calendar")
        self._lay(max(day, limit), self._first_day)

    def _lay(self, first: int, last: int) -> None:
        """Add days on either side of those there are."""
        if self._pattern is None:
            return
        more = self._pattern.stretches(first, last)
        is_before = first < self._first_day
        added = sum(end - start for start, end in more) if is_before else 0
        self.table = StretchTable(
            join_touching([*self.table.stretches, *more]), self.table.first - added
        )
        self._first_day, self._last_day = min(first, self._first_day), max(last, self._last_day)
        # A day of margin on both sides covers every offset from UTC.
        self._known_from = (self._first_day - EPOCH + 1) * DAY
        self._known_to = (self._last_day - EPOCH - 1) * DAY
