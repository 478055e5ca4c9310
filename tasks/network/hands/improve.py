"""Search for a better plan: orders of tasks are crossed, and their plans pushed to and fro.

A genetic search over orders. Each order is laid out backward from the launch and then forward by
what that gave, which takes out the gaps: the double justification of V. Valls, F. Ballestin and
S. Quintanilla, "Justification and RCPSP: a technique that pays", European Journal of Operational
Research 165, 2005. Who is crossed are the orders of the backward half.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from random import Random
from typing import NamedTuple

from tasks.network.hands.ground import Ground, TooShort
from tasks.network.hands.line import Line
from tasks.network.hands.orders import (
    by_priority,
    crossed,
    drawn,
    keep_waits,
    moved,
    nudged,
)

__all__ = ["Found", "Habit", "Layer", "Search"]

#: Orders to begin with, and the most that are kept: where a plan takes long, to cross few soon is
#: worth more than to draw many.
_FIRST, _KEPT = 40, 80
#: Share of tasks that change places with a neighbour in a new order.
_NUDGED = 0.03
_FRESH_AFTER = 6000

Value = tuple[int, int]


class Found(NamedTuple):
    """A plan found: how bad it is, the order that gives it, and the order for going backward."""

    value: Value
    order: list[int]
    back: list[int]
    finishes: Sequence[int]


@dataclass(frozen=True, slots=True)
class Habit:
    """Places in an earlier plan's order, -1 for new tasks, and what moving one must win."""

    places: list[int]
    calm: int


class Layer:
    """Lays out orders forward and backward.

    Parameters
    ----------
    ground
        The problem.
    habit
        The earlier plan that a new one should resemble, if any.

    Notes
    -----
    The *value* of a plan, the lower the better, is how many pins it misses, and the minutes from
    the status time to its launch, plus those that each task moved out of the earlier order costs.
    """

    def __init__(self, ground: Ground, habit: Habit | None = None) -> None:
        self.ground, self.habit = ground, habit
        self.line = Line(ground.forward)
        self.laid = 0
        self._back = Line(ground.backward)
        self._cures = ground.cure if any(ground.cure) else None
        self._ranks, self._falling = range(ground.count), range(ground.count - 1, -1, -1)

    def forward(self, order: list[int]) -> Found:
        """The plan of an order.

        Raises
        ------
        TooShort
            If the days laid out are not enough.
        """
        self.laid += 1
        now = self.ground.now
        _, finishes, late = self.line.lay(order)
        if self._cures:
            end = max(map(int.__add__, finishes, self._cures), default=now)
        else:
            end = max(finishes, default=now)
        cost = max(end - now, self.ground.done - self.ground.now)
        if self.habit:
            cost += self.habit.calm * moved(order, self.habit.places)
        back = sorted(self._falling, key=finishes.__getitem__, reverse=True)
        if not self.ground.plain_order:
            back = keep_waits(back, self.ground.after, self.ground.before)
        return Found((late, cost), order, back, finishes)

    def backward(self, back: list[int], launch: int) -> list[int] | None:
        """The order in which the tasks start when laid out backward from a launch, if they fit."""
        self.laid += 1
        try:
            finishes = self._back.lay(back, -launch).finishes
        except TooShort:
            return None
        order = sorted(self._ranks, key=finishes.__getitem__, reverse=True)
        if not self.ground.plain_order:
            order = keep_waits(order, self.ground.before, self.ground.after)
        return order

    def justified(self, back: list[int], launch: int) -> Found:
        """A plan by way of one laid out backward."""
        order = self.backward(back, launch)
        return self.forward(back[::-1] if order is None else order)

    def launch_of(self, found: Found) -> int:
        """Clock minute of the launch, or near it: a plan laid out backward starts from there."""
        return self.ground.now + found.value[1]


class Search:
    """Plans of a problem, better ones as it goes on.

    Parameters
    ----------
    layer
        Lays out the plans.
    seed
        The same seed gives the same plans, one after another.
    least
        A value that cannot be bettered; the search ends there.
    """

    def __init__(self, layer: Layer, seed: int, least: Value) -> None:
        self.layer, self.least = layer, least
        self.rng = Random(seed)  # noqa: S311
        self._best: Found | None = None
        self._keys: list[list[float]] = []

    @property
    def best(self) -> Found:
        """The best plan so far; there is one after `begin`."""
        if self._best is None:
            raise LookupError("nothing has been looked for yet")
        return self._best

    @property
    def is_over(self) -> bool:
        """Whether nothing better can be found."""
        return self._best is not None and self._best.value <= self.least

    def begin(self, keys: list[list[float]], orders: list[list[int]]) -> None:
        """The first answer: given orders as they are, and priorities, all justified.

        Raises
        ------
        TooShort
            If the days laid out are not enough.
        """
        ground = self.layer.ground
        self._keys = keys
        given = [*orders, *(by_priority(row, ground.before, ground.after) for row in keys)]
        for order in given:
            found = self._note(self.layer.forward(order))
            if self.is_over:
                break
            self._note(self.layer.justified(found.back, self.layer.launch_of(found)))

    def note(self, order: list[int]) -> None:
        """Lay out an order found elsewhere, and keep it if it is better."""
        self._note(self.layer.forward(order))

    def improve(self, goes_on: Callable[[], bool]) -> None:
        """Search until told to stop, or until nothing better can be."""
        if self.layer.ground.count < 2:
            return
        while goes_on() and not self.is_over:
            kept = self._first_kept(goes_on)
            self._breed(kept, goes_on)

    def _first_kept(self, goes_on: Callable[[], bool]) -> list[Found]:
        kept = [self.best]
        for keys in self._draw_by():
            if len(kept) >= _FIRST or not goes_on() or self.is_over:
                break
            try:
                found = self._note(self.layer.forward(drawn(keys, self.layer.ground, self.rng)))
                kept.append(
                    self._note(self.layer.justified(found.back, self.layer.launch_of(found)))
                )
            except TooShort:
                kept += kept[:1]
        kept.sort(key=_value)
        return kept

    def _draw_by(self) -> Iterator[list[float]]:
        while True:
            yield from self._keys

    def _breed(self, kept: list[Found], goes_on: Callable[[], bool]) -> None:
        """Cross the kept orders until there has been nothing new for long."""
        rng, layer = self.rng, self.layer
        random, after = rng.random, layer.ground.after
        waits = [set(row) for row in after]
        stale, count = 0, len(kept)
        best = kept[0].value if kept else None
        while count > 1 and stale < _FRESH_AFTER and goes_on() and not self.is_over:
            one = kept[min(int(random() * count), int(random() * count))]
            other = kept[min(int(random() * count), int(random() * count))]
            child = nudged(crossed(one.back, other.back, rng), waits, _NUDGED, rng)
            try:
                found = self._note(layer.justified(child, layer.launch_of(one)))
            except TooShort:
                stale += 1
                continue
            stale += 1
            at = bisect_right(kept, found.value, key=_value)
            if at == _KEPT or any(_same(found, twin) for twin in kept[:at]):
                continue
            kept.insert(at, found)
            del kept[_KEPT:]
            count = len(kept)
            if best is None or found.value < best:
                best, stale = found.value, 0

    def _note(self, found: Found) -> Found:
        if self._best is None or found.value < self._best.value:
            self._best = found
        return found


def _value(found: Found) -> Value:
    return found.value


def _same(one: Found, other: Found) -> bool:
    return one.value == other.value and one.finishes == other.finishes
