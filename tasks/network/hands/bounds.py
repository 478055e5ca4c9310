"""Clock minutes before which no plan can launch, so that a search may know when it is done."""

from __future__ import annotations

from bisect import bisect_right

from tasks.network.hands.ground import Ground, Side
from tasks.network.hands.line import without_limits

__all__ = ["launch_bound", "tails"]


def launch_bound(ground: Ground) -> int:
    """The later of what links and hours alone allow, and what the work of each resource takes."""
    order = list(range(ground.count))
    early = without_limits(ground.forward, order)
    cured = [finish + cure for finish, cure in zip(early.finishes, ground.cure, strict=True)]
    bound = max([ground.now, ground.done, *cured])
    after = tails(ground)
    starts, side = early.starts, ground.forward
    low = 0
    for high in range(side.guard.bit_length()):
        if side.guard >> high & 1:
            bound = max(bound, _by_work(side, starts, after, low, high))
            low = high + 1
    return bound


def tails(ground: Ground) -> list[int]:
    """Least clock minutes from each task's finish to the launch."""
    rows = ground.forward.rows
    least = list(ground.cure)
    for rank in range(ground.count - 1, -1, -1):
        for hold in rows[rank].starts:
            # Shop minutes take no fewer clock minutes; a lead in them may take more.
            if not hold.from_start and hold.shop >= 0:
                tail = hold.wait + hold.shop + rows[rank].work + least[rank]
                least[hold.source] = max(least[hold.source], tail)
    return least


def _by_work(side: Side, starts: list[int], after: list[int], low: int, high: int) -> int:
    """When the work that cannot start before some moment is done, and what comes after it."""
    field = (1 << high) - (1 << low)
    by_start = sorted(range(len(starts)), key=starts.__getitem__, reverse=True)
    work, tail, bound = 0, None, 0
    passed = _Amounts(side, field, low)
    for rank in by_start:
        row = side.rows[rank]
        amount = (row.need & field) >> low
        if not amount or not row.work:
            continue
        work += amount * row.work
        tail = after[rank] if tail is None else min(tail, after[rank])
        done = passed.done(side.base.shop_at(starts[rank]), work)
        if done is not None:
            bound = max(bound, side.base.clock_at_finish(done) + tail)
    return bound


class _Amounts:
    """How much work of one resource fits between base minutes."""

    def __init__(self, side: Side, field: int, low: int) -> None:
        self.times = side.times
        self.counts = [(free & field) >> low for free in side.free]
        self.passed = [0]
        for at in range(len(self.times) - 1):
            length = self.times[at + 1] - self.times[at]
            self.passed.append(self.passed[-1] + length * self.counts[at])

    def done(self, since: int, work: int) -> int | None:
        """The base minute by which so much work since another can be done; None for never."""
        at = bisect_right(self.times, since) - 1
        target = self.passed[at] + (since - self.times[at]) * self.counts[at] + work
        at = bisect_right(self.passed, target - 1) - 1
        if at >= len(self.counts) - 1 or not self.counts[at]:
            return None
        return self.times[at] - (self.passed[at] - target) // self.counts[at]
