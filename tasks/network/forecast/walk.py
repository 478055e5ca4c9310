"""All runs of a forecast laid out at once: an array of runs for each step of the plan.

In each run every task begins as soon as its links, its hours, its hands and today allow, which is
how the plan itself was laid out. Moments are kept in own minutes as long as tasks have the same
hours, and turned into clock minutes only where a cure, a lag or other hours ask for it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from tasks.network.forecast.lookup import Lookup, Minutes, TooShort
from tasks.network.forecast.own_hours import Tables
from tasks.network.forecast.steps import Hold, Step

__all__ = ["Cause", "Truths", "Walk"]

Truths: TypeAlias = NDArray[np.bool_]


class Cause(NamedTuple):
    """What may have held a step: the place of a step (None for a date or today), and in which runs
    it took over from the causes before it in the list (None for all)."""

    source: int | None
    took_over: Truths | None


class Walk:
    """One pass through the steps.

    Parameters
    ----------
    steps
        In order.
    tables
        The look-ups for their hours.
    work
        Gives the shop minutes (runs) that a step takes, by its place.
    delay
        Gives the own minutes (runs) that a step which is to lie in one stretch is late for other
        reasons, None for none.
    runs
        How many.

    Attributes
    ----------
    causes
        For each step what held it, the last that took over being the one that did.
    launches
        Clock minutes (runs) from the status time at which the last cure ends.
    last
        Which step that was, as causes.

    Raises
    ------
    TooShort
        If a run goes on beyond the tables.
    """

    def __init__(
        self,
        steps: Sequence[Step],
        tables: Tables,
        work: Callable[[int], Minutes],
        delay: Callable[[int], Minutes | None],
        runs: int,
    ) -> None:
        self.steps, self.runs = steps, runs
        self._tables, self._delay = tables, delay
        count = len(steps)
        self.lookups: list[Lookup | None] = [None] * count
        #: Own minutes, of points clock minutes.
        self._begins: list[Minutes] = []
        self.ends: list[Minutes] = []
        self._clock: dict[tuple[int, bool], Minutes] = {}
        self.causes: list[list[Cause]] = []
        self._shop_table: Lookup | None = None
        for place, step in enumerate(steps):
            if step.is_point:
                self._point(step)
            else:
                self._work(place, step, work(place))
        self.launches, self.last = self._launch()

    def finish_one(self, place: int, end: int) -> int:
        """The clock minute of a finish, from an entry of `ends`."""
        lookup = self.lookups[place]
        return end if lookup is None else lookup.finish_one(end)

    @property
    def _shop(self) -> Lookup:
        if self._shop_table is None:
            self._shop_table = self._tables.of((None, ()))
        return self._shop_table

    def _point(self, step: Step) -> None:
        causes = [Cause(None, None)]
        latest: Minutes | None = None
        for hold in step.starts:
            latest = _later(causes, hold.source, latest, self._reached(hold))
        if latest is None:
            latest = np.full(self.runs, step.floor, np.int32)
        elif step.floor > 0 or not any(map(_never_early, step.starts)):
            latest = _later(causes, None, latest, np.int32(step.floor))
        if int(latest.max()) >= self._tables.minutes:
            raise TooShort
        self._begins.append(latest)
        self.ends.append(latest)
        self.causes.append(causes)

    def _work(self, place: int, step: Step, work: Minutes) -> None:
        lookup = self._tables.of(step.hours)
        self.lookups[place] = lookup
        causes = [Cause(None, None)]
        begin = self._begin(step, lookup, causes)
        for clock, by_clock in step.finish_floors:
            own = lookup.first_finish_one(clock) if by_clock else lookup.minutes_at_one(clock)
            begin = _later(causes, None, begin, np.int32(own) - work)
        for hold in step.finishes:
            begin = _later(causes, hold.source, begin, self._held(hold, lookup, work) - work)
        if step.one_go:
            late = self._delay(place)
            begin = lookup.fit(begin if late is None else begin + late, work)
        end = begin + work
        if int(end.max()) > lookup.total:
            raise TooShort
        self._begins.append(begin)
        self.ends.append(end)
        self.causes.append(causes)

    def _begin(self, step: Step, lookup: Lookup, causes: list[Cause]) -> Minutes:
        """Own minutes at which a step may begin, as far as what holds its start is concerned."""
        begin: Minutes | None = None
        by_clock: list[Hold] = []
        for hold in step.starts:
            own = self._own_event(hold, lookup)
            if own is None:
                by_clock.append(hold)
            else:
                begin = _later(causes, hold.source, begin, own)
        if by_clock:
            inner = [Cause(None, None), Cause(by_clock[0].source, None)]
            latest = self._reached(by_clock[0])
            for hold in by_clock[1:]:
                latest = _later(inner, hold.source, latest, self._reached(hold))
            own = lookup.minutes_at(latest)
            if begin is None:
                begin = own
                causes += inner[1:]
            else:
                took_over = own > begin
                begin = np.maximum(begin, own)
                for source, mask in inner[1:]:
                    causes.append(Cause(source, took_over if mask is None else took_over & mask))
        floor = lookup.minutes_at_one(step.floor)
        if begin is None:
            return np.full(self.runs, floor, np.int32)
        if floor > 0:
            begin = _later(causes, None, begin, np.int32(floor))
        return begin

    def _own_event(self, hold: Hold, lookup: Lookup) -> Minutes | None:
        """An event in the own minutes of a step, if no clock is needed for it."""
        if hold.wait or self.lookups[hold.source] is not lookup:
            return None
        own = self._begins[hold.source] if hold.from_start else self.ends[hold.source]
        if not hold.shop:
            return own
        if lookup is not self._shop:
            return None
        shifted: Minutes = np.maximum(own + np.int32(hold.shop), np.int32(0))
        return shifted

    def _held(self, hold: Hold, lookup: Lookup, work: Minutes) -> Minutes:
        """Own minutes before which a finish is held."""
        own = None if hold.by_clock else self._own_event(hold, lookup)
        if own is None:
            clock = self._reached(hold)
            own = lookup.first_finishes(clock) if hold.by_clock else lookup.minutes_at(clock)
        if hold.share:
            own = own + np.rint(work * np.float32(hold.share)).astype(np.int32)
        return own

    def _reached(self, hold: Hold) -> Minutes:
        """Clock minutes at which what a hold waits for is over."""
        clock = self._event(hold.source, hold.from_start)
        if hold.wait:
            clock = clock + np.int32(hold.wait)
        if hold.shop:
            own = self._shop.minutes_at(clock) + np.int32(hold.shop)
            if int(own.max()) > self._shop.total:
                raise TooShort
            clock = self._shop.finishes(np.maximum(own, np.int32(1)))
            # What was over before the status time holds nothing.
            clock[own < 1] = 0
        return clock

    def _event(self, place: int, from_start: bool) -> Minutes:
        lookup = self.lookups[place]
        if lookup is None:
            return self.ends[place]
        key = place, from_start
        if key not in self._clock:
            self._clock[key] = (
                lookup.starts(self._begins[place])
                if from_start
                else lookup.finishes(self.ends[place])
            )
        return self._clock[key]

    def _launch(self) -> tuple[NDArray[np.int64], list[Cause]]:
        causes = [Cause(None, None)]
        launches = np.full(self.runs, -(2**40), np.int64)
        for place, step in enumerate(self.steps):
            if step.may_be_last:
                cured = self._event(place, False).astype(np.int64) + step.cure
                # Of several at once the one furthest along is taken.
                causes.append(Cause(place, cured >= launches))
                launches = np.maximum(launches, cured)
        return launches, causes


def _never_early(hold: Hold) -> bool:
    return hold.wait >= 0 and hold.shop >= 0


def _later(
    causes: list[Cause], source: int | None, latest: Minutes | None, other: Minutes | np.int32
) -> Minutes:
    """The later of two in each run, noting where the second takes over."""
    if latest is None:
        causes.append(Cause(source, None))
        return np.asarray(other)
    causes.append(Cause(source, other > latest))
    return np.maximum(latest, other)
