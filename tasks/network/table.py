"""A fixed table of stretches and the look-ups in it, for one value and for arrays.

The array twins of a look-up end in `_each`. Work is more than 0 minutes here, and shop minutes do
not lie before `first`; what comes out for others means nothing. Beyond the table nothing is raised:
what lies after it comes out as `NEVER` or later, a finish before it as `-NEVER`, and the caller
sees to it.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from tasks.network.week import Stretch

__all__ = ["NEVER", "Ints", "StretchTable"]

Ints: TypeAlias = NDArray[np.int64]

#: A clock minute after all others; its negative comes before all others. Sums stay in 64 bits.
NEVER = 2**60


class StretchTable:
    """Stretches of clock minutes in order, none touching another.

    Parameters
    ----------
    stretches
        (start, end) in clock minutes.
    passed
        The shop minute at which the first stretch begins.
    """

    def __init__(self, stretches: Sequence[Stretch], passed: int = 0) -> None:
        self.stretches = stretches
        self.first = passed
        # An empty stretch before all time, and one after it that takes whatever is left, save the
        # look-ups from looking over the edge.
        self._starts, self._ends, self._passed = [-NEVER], [-NEVER], [passed]
        for start, end in stretches:
            self._starts.append(start)
            self._ends.append(end)
            self._passed.append(passed)
            passed += end - start
        self.last = passed
        self._starts.append(NEVER)
        self._ends.append(2 * NEVER)
        self._passed.append(passed)
        self._starts_each = np.array(self._starts, np.int64)
        self._passed_each = np.array(self._passed, np.int64)
        self._ends_each = np.array(self._ends, np.int64)
        # From shop to clock minutes within a stretch.
        self._ahead_each = self._starts_each - self._passed_each

    def shop_at(self, clock: int) -> int:
        k = bisect_right(self._starts, clock) - 1
        end = self._ends[k]
        return self._passed[k] + (clock if clock < end else end) - self._starts[k]

    def clock_at_start(self, shop: int) -> int:
        k = bisect_right(self._passed, shop) - 1
        return self._starts[k] + shop - self._passed[k]

    def clock_at_finish(self, shop: int) -> int:
        k = max(bisect_left(self._passed, shop) - 1, 0)
        return self._starts[k] + shop - self._passed[k]

    def last_start_by(self, clock: int) -> int:
        shop = self.shop_at(clock)
        return shop if self.clock_at_start(shop) <= clock else shop - 1

    def first_finish_from(self, clock: int) -> int:
        shop = self.shop_at(clock)
        return shop if self.clock_at_finish(shop) >= clock else shop + 1

    def work_from(self, clock: int, work: int) -> tuple[int, int]:
        """Clock minutes at which work that may begin at a clock minute starts and finishes."""
        k = bisect_right(self._starts, clock) - 1
        if clock >= self._ends[k]:
            k += 1
            clock = self._starts[k]
        if work <= self._ends[k] - clock:
            return clock, clock + work
        shop = self._passed[k] + clock - self._starts[k] + work
        k = bisect_left(self._passed, shop, k + 1) - 1
        return clock, self._starts[k] + shop - self._passed[k]

    def work_until(self, clock: int, work: int) -> tuple[int, int]:
        """Clock minutes at which work that must end by a clock minute starts and finishes."""
        k = bisect_left(self._starts, clock) - 1
        finish = min(clock, self._ends[k])
        if work <= finish - self._starts[k]:
            return finish - work, finish
        shop = self._passed[k] + finish - self._starts[k] - work
        k = bisect_right(self._passed, shop, 0, k) - 1
        return self._starts[k] + shop - self._passed[k], finish

    def fit_after(self, shop: int, work: int) -> int:
        """First shop minute, `shop` or later, with `work` in one stretch; `last` if there is none.

        That is never a place for work, since no shop minute follows it.
        """
        k = max(bisect_right(self._passed, shop) - 1, 1)
        while k < len(self._passed) - 1:
            begin = max(shop, self._passed[k])
            if begin + work <= self._passed[k + 1]:
                return begin
            k += 1
        return max(shop, self.last)

    def fit_before(self, shop: int, work: int) -> int | None:
        """Last shop minute, `shop` or earlier, with `work` in one stretch; None if none has it."""
        k = min(bisect_right(self._passed, shop) - 1, len(self._passed) - 2)
        while k > 0:
            begin = min(shop, self._passed[k + 1] - work)
            if begin >= self._passed[k]:
                return begin
            k -= 1
        return None

    def shop_at_each(self, clock: Ints) -> Ints:
        k = self._starts_each.searchsorted(clock, "right") - 1
        passed: Ints = np.minimum(clock, self._ends_each[k]) - self._ahead_each[k]
        return passed

    def clock_at_start_each(self, shop: Ints) -> Ints:
        k = self._passed_each.searchsorted(shop, "right") - 1
        return self._ahead_each[k] + shop

    def clock_at_finish_each(self, shop: Ints) -> Ints:
        k = np.maximum(self._passed_each.searchsorted(shop, "left") - 1, 0)
        return self._ahead_each[k] + shop

    def work_from_each(self, clock: Ints, work: Ints) -> tuple[Ints, Ints]:
        k = self._starts_each.searchsorted(clock, "right") - 1
        k += clock >= self._ends_each[k]
        start = np.maximum(clock, self._starts_each[k])
        return start, self.clock_at_finish_each(start - self._ahead_each[k] + work)

    def work_until_each(self, clock: Ints, work: Ints) -> tuple[Ints, Ints]:
        k = self._starts_each.searchsorted(clock, "left") - 1
        finish = np.minimum(clock, self._ends_each[k])
        return self.clock_at_start_each(finish - self._ahead_each[k] - work), finish

    def last_start_by_each(self, clock: Ints) -> Ints:
        shop = self.shop_at_each(clock)
        return shop - (self.clock_at_start_each(shop) > clock)

    def first_finish_from_each(self, clock: Ints) -> Ints:
        shop = self.shop_at_each(clock)
        return shop + (self.clock_at_finish_each(shop) < clock)
