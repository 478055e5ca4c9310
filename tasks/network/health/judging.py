"""From counts to a check: the one place where a limit is applied."""

from __future__ import annotations

from collections.abc import Iterable

from tasks.network.health.published import PUBLISHED
from tasks.network.health.values import Check, Fault, Key, Verdict, Why

__all__ = ["judged", "untold"]


def judged(key: Key, base: int, faults: Iterable[Fault], count: int | None = None) -> Check:
    """A check of counts; the count is that of the faults, where none other is given.

    With nothing to count there is no share, so that no verdict is made of 0 by 0.
    """
    found = tuple(faults)
    count = len(found) if count is None else count
    if not base:
        return untold(key, Why.NOTHING_TO_COUNT)
    limit = PUBLISHED[key].limit
    verdict = Verdict.INFORMATION
    if limit is not None:
        verdict = Verdict.PASSES if limit.holds(count, base) else Verdict.FAILS
    return Check(key, verdict, count, base, faults=found)


def untold(key: Key, why: Why, count: int = 0) -> Check:
    return Check(key, Verdict.CANNOT_TELL, count, why=why)
