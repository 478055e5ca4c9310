"""Shop hours to clock time and back, by look-up in a table of stretches.

A *shop minute* is counted from the calendar's origin: `shop_at` tells how many shop minutes have
passed at a clock minute. The end of one stretch and the start of the next are the same shop minute;
`clock_at_finish` shows it as the former and `clock_at_start` as the latter.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import UTC, date, tzinfo
from itertools import accumulate

from tasks.network.exceptions import BadCalendar, NoShopHours, OutOfShopHours
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
    """

    def __init__(self, stretches: Iterable[Stretch]) -> None:
        laid = list(stretches)
        for start, end in laid:
            if not start < end:
                raise BadCalendar(f"a stretch must start before it ends, not {start} to {end}")
        laid = join_touching(laid)
        self._pattern: WeekPattern | None = None
        self._starts = [start for start, _ in laid]
        self._ends = [end for _, end in laid]
        # _passed[k] is the shop minute at which stretch k begins and stretch k - 1 ends.
        self._passed = list(accumulate((end - start for start, end in laid), initial=0))
        self._longest: int | None = max((end - start for start, end in laid), default=0)
        # Outside these clock minutes more days must be laid out first.
        self._known_from, self._known_to = -_FOREVER, _FOREVER
        self._first_day = self._last_day = self._origin_day = 0

    @classmethod
    def always(cls) -> Calendar:
        """A calendar in which every minute is a shop minute, for textbook networks.

        >>> Calendar.always().shop_at(42)
        42
        """
        calendar = cls([(-_FOREVER, _FOREVER)])
        calendar._passed = [-_FOREVER, _FOREVER]
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
        calendar._longest = pattern.longest_stretch
        origin = first_day.toordinal()
        last = origin + 366 if last_day is None else last_day.toordinal() + 1
        if last <= origin:
            raise BadCalendar(f"the last day, {last_day}, lies before the first, {first_day}")
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
        return list(zip(self._starts, self._ends, strict=True))

    @property
    def longest_stretch(self) -> int | None:
        """Shop minutes of the longest stretch (of a usual week); None where it never ends."""
        return self._longest

    def stretches_between(self, first: int, last: int) -> list[Stretch]:
        """The stretches of shop hours from clock minute `first` to `last`, cut off at both."""
        self._know(first)
        self._know(last)
        begin, end = bisect_right(self._ends, first), bisect_left(self._starts, last)
        return [(max(self._starts[k], first), min(self._ends[k], last)) for k in range(begin, end)]

    def shop_at(self, clock: int) -> int:
        """Shop minutes passed at a clock minute."""
        if not self._known_from <= clock <= self._known_to:
            self._know(clock)
        k = bisect_right(self._starts, clock) - 1
        if k < 0:
            return self._passed[0]
        return self._passed[k] + min(clock, self._ends[k]) - self._starts[k]

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
        k = bisect_right(self._passed, shop) - 1
        while not 0 <= k < len(self._starts):
            if k < 0 and self._is_before_all(shop):
                return self._starts[0]
            self._lay_more(forward=k >= 0)
            k = bisect_right(self._passed, shop) - 1
        return self._starts[k] + shop - self._passed[k]

    def clock_at_finish(self, shop: int) -> int:
        """Clock minute at which work that finishes at a shop minute finishes: the earliest.

        Raises
        ------
        NoShopHours
            If the calendar has no shop hours at all.
        OutOfShopHours
            If they end before.
        """
        k = bisect_left(self._passed, shop) - 1
        while not 0 <= k < len(self._starts):
            if k < 0 and self._is_before_all(shop):
                return self._starts[0]
            self._lay_more(forward=k >= 0)
            k = bisect_left(self._passed, shop) - 1
        return self._starts[k] + shop - self._passed[k]

    def last_start_by(self, clock: int) -> int:
        """The last shop minute at which work can start no later than a clock minute.

        Unlike `shop_at`, this does not take the end of a stretch for the start of the next.
        """
        shop = self.shop_at(clock)
        return shop if self.clock_at_start(shop) <= clock else shop - 1

    def first_finish_from(self, clock: int) -> int:
        """The first shop minute at which work can finish no earlier than a clock minute.

        Unlike `shop_at`, this does not take the start of a stretch for the end of the one before.
        """
        shop = self.shop_at(clock)
        return shop if self.clock_at_finish(shop) >= clock else shop + 1

    def fit_after(self, shop: int, work: int) -> int | None:
        """The first shop minute, `shop` or later, from which `work` minutes lie in one stretch.

        None if no stretch is long enough.
        """
        if self._longest is not None and work > self._longest:
            return None
        while shop >= self._passed[-1]:
            if self._starts and self._pattern is None:
                return None
            self._lay_more(forward=True)
        k = max(bisect_right(self._passed, shop) - 1, 0)
        while k < len(self._starts):
            begin = max(shop, self._passed[k])
            if begin + work <= self._passed[k + 1]:
                return begin
            if k + 1 == len(self._starts) and self._pattern is not None:
                # The last stretch may go on in days not yet laid out: look at it again.
                self._lay_more(forward=True)
            else:
                k += 1
        return None

    def fit_before(self, shop: int, work: int) -> int | None:
        """The last shop minute, `shop` or earlier, from which `work` minutes lie in one stretch.

        None if no stretch is long enough.
        """
        if self._longest is not None and work > self._longest:
            return None
        while self._pattern is not None and shop + work >= self._passed[-1]:
            self._lay_more(forward=True)
        k = min(bisect_right(self._passed, shop), len(self._starts)) - 1
        while k >= 0:
            begin = min(shop, self._passed[k + 1] - work)
            if begin >= self._passed[k]:
                return begin
            if k == 0 and self._pattern is not None:
                # The first stretch may begin in days not yet laid out: look at it again.
                earliest = self._passed[0]
                self._lay_more(forward=False)
                k = max(bisect_left(self._passed, earliest) - 1, 0)
            else:
                k -= 1
        return None

    def _is_before_all(self, shop: int) -> bool:
        """Whether a shop minute lies before the first stretch that there will ever be."""
        return self._pattern is None and bool(self._starts) and shop <= self._passed[0]

    def _know(self, clock: int) -> None:
        """Lay out days until a clock minute is among them."""
        while clock < self._known_from:
            self._lay_since(min(clock // DAY + EPOCH - 2, 2 * self._first_day - self._last_day))
        while clock > self._known_to:
            self._lay_until(max(clock // DAY + EPOCH + 3, 2 * self._last_day - self._first_day))

    def _lay_more(self, *, forward: bool) -> None:
        """Double the days laid out."""
        if not self._starts and (self._pattern is None or not self._pattern.weekly_minutes):
            raise NoShopHours("there is work to plan, but the calendar has no shop hours")
        if self._pattern is None:
            raise OutOfShopHours("the work runs past the calendar's shop hours")
        days = max(self._last_day - self._first_day, 28)
        if forward:
            self._lay_until(self._last_day + days)
        else:
            self._lay_since(self._first_day - days)

    def _lay_until(self, day: int) -> None:
        if self._pattern is None:
            return
        limit = min(self._origin_day + _MOST_DAYS, date.max.toordinal() - 2)
        if self._last_day >= limit:
            raise OutOfShopHours("the work does not end within 250 years of shop hours")
        day = min(day, limit)
        more = self._pattern.stretches(self._last_day, day)
        if more and self._ends and more[0][0] <= self._ends[-1]:
            _, end = more.pop(0)
            self._passed[-1] += end - self._ends[-1]
            self._ends[-1] = end
        for start, end in more:
            self._starts.append(start)
            self._ends.append(end)
            self._passed.append(self._passed[-1] + end - start)
        self._last_day = day
        self._mark_known()

    def _lay_since(self, day: int) -> None:
        if self._pattern is None:
            return
        limit = max(self._origin_day - _MOST_DAYS, 3)
        if self._first_day <= limit:
            raise OutOfShopHours("the work begins more than 250 years before the calendar")
        day = max(day, limit)
        more = self._pattern.stretches(day, self._first_day)
        if more and self._starts and self._starts[0] <= more[-1][1]:
            start, _ = more.pop()
            self._passed[0] -= self._starts[0] - start
            self._starts[0] = start
        passed = self._passed[0] - sum(end - start for start, end in more)
        if more:
            lengths = (end - start for start, end in more[:-1])
            self._passed[:0] = accumulate(lengths, initial=passed)
        self._starts[:0] = [start for start, _ in more]
        self._ends[:0] = [end for _, end in more]
        self._first_day = day
        self._mark_known()

    def _mark_known(self) -> None:
        # A day of margin on both sides covers every offset from UTC.
        self._known_from = (self._first_day - EPOCH + 1) * DAY
        self._known_to = (self._last_day - EPOCH - 1) * DAY
