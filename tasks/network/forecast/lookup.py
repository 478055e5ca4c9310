"""Clock minutes to own minutes and back for whole arrays, by look-up in an array of minutes.

A run of a forecast asks for one minute among some hundred thousand, ten thousand runs at once: to
read it from an array is several times as fast as to search for its stretch. As hours open and close
at the full or half hour, mostly, the array of clock minutes has an entry for each such slot only,
and so fits into the processor's cache for ten years. Clock minutes count
from the status time here, own minutes (minutes of one task's hours) from 0 at the status time.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from functools import cached_property
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from tasks.network.week import DAY, Stretch

__all__ = ["Lookup", "Minutes", "TooShort"]

#: Minutes in 32 bits: no table reaches further than 64 years.
Minutes: TypeAlias = NDArray[np.int32]


class TooShort(Exception):
    """A run goes on beyond the hours laid out."""


class Lookup:
    """One set of hours, laid out from the status time on.

    Parameters
    ----------
    stretches
        Clock minutes from 0 to `last`, in order, none touching another.
    last
        The clock minute at which they are cut off.
    usual
        The longest stretch among those that come again; what is to lie in one stretch and finds
        none begins in one of these.
    """

    def __init__(self, stretches: Sequence[Stretch], last: int, usual: int) -> None:
        self.last, self.usual = last, usual
        self._starts = [start for start, _ in stretches]
        self._passed = [0]
        for start, end in stretches:
            self._passed.append(self._passed[-1] + end - start)
        self.total = self._passed[-1]
        self._starts_each = np.array(self._starts, np.int64)
        self._lengths = np.array([end - start for start, end in stretches], np.int64)
        #: Clock minus own minutes where the hours never close.
        self.shift: int | None = None
        if len(stretches) == 1 and stretches[0][1] >= last:
            self.shift = stretches[0][0]

    # For one value.

    def minutes_at_one(self, clock: int) -> int:
        """Own minutes passed at a clock minute."""
        at = bisect_right(self._starts, clock) - 1
        if at < 0:
            return 0
        return min(self._passed[at] + clock - self._starts[at], self._passed[at + 1])

    def finish_one(self, own: int) -> int:
        """Clock minute at which work that finishes at an own minute, at least 1, finishes."""
        at = bisect_left(self._passed, own) - 1
        return self._starts[at] + own - self._passed[at]

    def first_finish_one(self, clock: int) -> int:
        """First own minute at which a finish is not before a clock minute."""
        own = self.minutes_at_one(clock)
        return own if own and self.finish_one(own) >= clock else own + 1

    # For arrays.

    def starts(self, own: Minutes) -> Minutes:
        """Clock minutes at which work that starts at own minutes starts."""
        if self.shift is not None:
            return own + np.int32(self.shift)
        return self._clock.take(own, mode="clip")

    def finishes(self, own: Minutes) -> Minutes:
        """Clock minutes at which work that finishes at own minutes, at least 1, finishes."""
        if self.shift is not None:
            return own + np.int32(self.shift)
        return self._clock.take(own - np.int32(1), mode="clip") + np.int32(1)

    def minutes_at(self, clock: Minutes) -> Minutes:
        """Own minutes passed at clock minutes; 0 for what lies before the status time."""
        if self.shift is not None:
            since: Minutes = np.maximum(clock - np.int32(self.shift), np.int32(0))
            return since
        length, before = self._slot
        if length == 1:
            return self._minutes.take(clock, mode="clip")
        clock = np.maximum(clock, np.int32(0)) + np.int32(before)
        slot = clock // np.int32(length)
        clock -= slot * np.int32(length)
        clock += self._minutes.take(slot, mode="clip")
        slot += np.int32(1)
        own: Minutes = np.minimum(clock, self._minutes.take(slot, mode="clip"))
        return own

    def first_finishes(self, clock: Minutes) -> Minutes:
        """First own minutes at which a finish is not before clock minutes."""
        own = self.minutes_at(clock)
        finish = np.where(own > 0, self.finishes(own), np.int32(-1))
        own += finish < clock
        return own

    def fit(self, own: Minutes, work: Minutes) -> Minutes:
        """First own minutes, not before `own`, from which work lies in one stretch.

        Work longer than any stretch begins at the longest that comes again, and is not done in it.

        Raises
        ------
        TooShort
            If there may be a stretch, but not before the end of what is laid out.
        """
        at = self._stretch.take(own, mode="clip")
        room = self._ends.take(at) - own
        late = np.flatnonzero(room < work)
        if not late.size:
            return own
        at, room, wanted = at.take(late), room.take(late), work.take(late)
        found = self._first_long(at + 1, wanted)
        place = self._begins.take(found)
        lost = np.flatnonzero(found == len(self._lengths))
        if lost.size:
            cut = np.minimum(wanted.take(lost), self.usual)
            found = self._first_long(at.take(lost) + 1, cut)
            # The stretch that is going on may do as well as a later one.
            here = room.take(lost) >= cut
            if (found[~here] == len(self._lengths)).any():
                raise TooShort
            place[lost] = np.where(here, own.take(late.take(lost)), self._begins.take(found))
        placed = own.copy()
        placed[late] = place
        return placed

    def _first_long(self, first: NDArray[np.int64], wanted: Minutes) -> NDArray[np.int64]:
        """From each stretch on the first that is long enough; their number if there is none."""
        found = np.minimum(first, len(self._lengths))
        while True:
            short = np.flatnonzero(self._with_end.take(found) < wanted)
            if not short.size:
                return found
            found[short] = self._longer.take(found.take(short))

    @cached_property
    def _clock(self) -> Minutes:
        clock = np.repeat(self._ahead, self._lengths)
        clock += np.arange(self.total, dtype=np.int32)
        # Own minutes beyond the table are caught by the caller.
        return np.append(clock, np.int32(self.last))

    @cached_property
    def _slot(self) -> tuple[int, int]:
        """(Length, how far the first begins before the status time) of equal slots of the clock in
        which hours open and close at the beginning only."""
        ends = (self._starts_each + self._lengths).tolist()
        # Stretches are cut off at the status time and at the end of the table, at any minute.
        edges = [edge for edge in (*self._starts, *ends) if 0 < edge < self.last]
        if not edges:
            return 1, 0
        length = math.gcd(*(edge - edges[0] for edge in edges), DAY)
        return length, -edges[0] % length

    @cached_property
    def _minutes(self) -> Minutes:
        """Own minutes passed at the beginning of each slot."""
        length, before = self._slot
        begins = np.arange(-before, self.last + 2 * length, length)
        if not self._starts:
            return np.zeros(len(begins), np.int32)
        edges = np.stack((self._starts_each, self._starts_each + self._lengths), 1).ravel()
        passed = np.repeat(self._begins, 2)[1:-1]
        minutes = np.rint(np.interp(begins, edges, passed)).astype(np.int32)
        if self._starts[0] == 0:
            minutes[0] = -before
        return minutes

    @cached_property
    def _ahead(self) -> Minutes:
        """From own to clock minutes within each stretch."""
        return (self._starts_each - self._begins[:-1]).astype(np.int32)

    @cached_property
    def _stretch(self) -> NDArray[np.int64]:
        return np.append(
            np.repeat(np.arange(len(self._lengths)), self._lengths), len(self._lengths)
        )

    @cached_property
    def _ends(self) -> Minutes:
        """Own minutes at which each stretch ends; the last entry stands for none."""
        return np.array([*self._passed[1:], self.total], np.int32)

    @cached_property
    def _begins(self) -> Minutes:
        """Own minutes at which each stretch begins; the last entry stands for none."""
        return np.array(self._passed, np.int32)

    @cached_property
    def _with_end(self) -> NDArray[np.int64]:
        return np.append(self._lengths, 2**40)

    @cached_property
    def _longer(self) -> NDArray[np.int64]:
        """For each stretch the next that is longer."""
        count = len(self._lengths)
        longer = [count] * (count + 1)
        lengths = self._lengths.tolist()
        for at in range(count - 1, -1, -1):
            other = at + 1
            while other < count and lengths[other] <= lengths[at]:
                other = longer[other]
            longer[at] = other
        return np.array(longer, np.int64)
