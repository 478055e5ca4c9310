"""Serial schedule generation for the plain case, all periods of a profile in one whole number.

Where every minute can be worked in and all capacities are constant, what is held in each period of
a short horizon fits into one long number, so that a few operations on it find the next place. The
plans are the same as those of `Line`, in about half the time. (The thought of doing arithmetic on
several fields of one word at once is old; see L. Lamport, "Multiple byte processing with full-word
instructions", Communications of the ACM 18, 1975.)
"""

from __future__ import annotations

from collections.abc import Sequence

from tasks.network.hands.ground import Ground, Side
from tasks.network.table import NEVER

__all__ = ["Packed", "packs"]

#: Horizons of more bits than this are quicker on a `Line`.
_MOST_BITS = 60_000


def packs(ground: Ground) -> bool:
    """Whether a problem is plain and small enough."""
    side = ground.forward
    if len(side.times) != 2 or len(side.base.stretches) != 1 or side.pins:
        return False
    periods = _periods(ground)
    if periods * side.guard.bit_length() > _MOST_BITS or not ground.plain_order:
        return False
    first = side.rows[0].own if side.rows else None
    return side.shop.stretches == side.base.stretches and all(
        row.own is first
        and row.finish_floor == -NEVER
        and not any(hold.shop for hold in row.starts)
        for row in side.rows
    )


def _periods(ground: Ground) -> int:
    """More periods than any plan without needless gaps takes."""
    rows = ground.forward.rows
    waits = sum(max((hold.wait for hold in row.starts), default=0) for row in rows)
    waits += max((row.floor for row in rows), default=ground.now) - ground.now
    return sum(row.work for row in rows) + waits + max(ground.cure, default=0) + 1


class Packed:
    """One side of a plain problem; as `Line.lay`, but finishes only, counted from the floor."""

    def __init__(self, ground: Ground, side: Side) -> None:
        free, guard = side.free[0] & ~side.guard, side.guard
        self._width = width = guard.bit_length()
        fields = _fields(guard)
        self._rows = []
        for row in side.rows:
            adds = guards = mask = 0
            for low, high in fields:
                field = (1 << high) - (1 << low)
                if row.need & field:
                    # A held amount plus this reaches the guard bit where it is too much.
                    adds |= (row.need & field) + field - (free & field)
                    guards |= 1 << high
                    mask |= field | 1 << high
            every = sum(1 << (width * period) for period in range(row.work))
            self._rows.append(
                (
                    row.lead if row.floor == -NEVER else row.floor - ground.now,
                    tuple((hold.source, hold.wait) for hold in row.starts),
                    row.work,
                    adds * every,
                    guards * every,
                    mask * every,
                    row.need * every,
                )
            )

    def lay(self, order: Sequence[int], floor: int = -NEVER) -> list[int]:
        """Finishes by rank, as periods after the floor."""
        rows, width = self._rows, self._width
        held = 0
        finishes = [0] * len(rows)
        for rank in order:
            ready, holds, work, adds, guards, mask, need = rows[rank]
            for source, wait in holds:
                reached = finishes[source] + wait
                if reached > ready:
                    ready = reached
            if need:
                while over := ((held >> ready * width) & mask) + adds & guards:
                    ready += (over.bit_length() - 1) // width + 1
                held += need << ready * width
            finishes[rank] = ready + work
        return finishes


def _fields(guard: int) -> list[tuple[int, int]]:
    """Where each packed amount begins, and its guard bit."""
    fields, low = [], 0
    for high in range(guard.bit_length()):
        if guard >> high & 1:
            fields.append((low, high))
            low = high + 1
    return fields
