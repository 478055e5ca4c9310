"""Where a task finds enough, in base minutes: hours with gaps, and stretches for unbroken work."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence

from tasks.network.table import NEVER
from tasks.network.week import Stretch

__all__ = ["OneGo", "Paused"]


class Paused:
    """Own hours of work that may pause: pieces of base minutes in order, none touching another."""

    def __init__(self, pieces: Sequence[Stretch]) -> None:
        self._starts = [start for start, _ in pieces]
        self._ends = [end for _, end in pieces]

    def fit(
        self,
        times: Sequence[int],
        free: Sequence[int],
        guard: int,
        ready: int,
        work: int,
        need: int,
    ) -> int:
        """The first minute, not before `ready`, at which work finds enough throughout.

        What is wanted in a pause is no matter. `NEVER` if there is no such minute.
        """
        starts, ends = self._starts, self._ends
        count = len(ends)
        piece = bisect_right(ends, ready)
        if piece == count:
            return NEVER
        begin = place = max(starts[piece], ready)
        left = work
        while True:
            end = min(ends[piece], place + left)
            at = bisect_right(times, place) - 1
            while times[at] < end:
                if (free[at] - need) & guard != guard:
                    break
                at += 1
            else:
                left -= end - place
                if not left:
                    return begin
                piece += 1
                if piece == count:
                    return NEVER
                place = starts[piece]
                continue
            piece = bisect_right(ends, times[at + 1], piece)
            if piece == count:
                return NEVER
            begin = place = max(starts[piece], times[at + 1])
            left = work

    def pieces(self, begin: int, work: int) -> Iterator[Stretch]:
        """The stretches that work takes from one of its minutes on."""
        piece = bisect_right(self._ends, begin)
        while work > 0:
            begin = max(begin, self._starts[piece])
            end = min(self._ends[piece], begin + work)
            yield begin, end
            work -= end - begin
            piece += 1

    def end(self, begin: int, work: int) -> int:
        """The minute at which work that begins at one of its minutes is done."""
        *_, (_, end) = self.pieces(begin, work)
        return end


class OneGo:
    """Stretches of own hours that are long enough for a piece of work, in base minutes."""

    def __init__(self, stretches: Sequence[Stretch], work: int) -> None:
        long = [(start, end) for start, end in stretches if end - start >= work]
        self._starts = [start for start, _ in long]
        self._latest = [end - work for _, end in long]

    def fit(
        self,
        times: Sequence[int],
        free: Sequence[int],
        guard: int,
        ready: int,
        work: int,
        need: int,
    ) -> int:
        """The first minute, not before `ready`, at which work finds enough throughout.

        `NEVER` if there is no such minute.
        """
        piece = bisect_left(self._latest, ready)
        while piece < len(self._latest):
            begin, latest = max(self._starts[piece], ready), self._latest[piece]
            at = bisect_right(times, begin) - 1
            while times[at] < begin + work:
                blocked = (free[at] - need) & guard != guard
                at += 1
                if blocked:
                    begin = times[at]
                    if begin > latest:
                        break
            else:
                return begin
            ready = begin
            piece = bisect_left(self._latest, ready, piece + 1)
        return NEVER

    def pieces(self, begin: int, work: int) -> Iterator[Stretch]:
        """The stretch that work takes from one of its minutes on."""
        yield begin, begin + work

    def end(self, begin: int, work: int) -> int:
        """The minute at which work that begins at one of its minutes is done."""
        return begin + work
