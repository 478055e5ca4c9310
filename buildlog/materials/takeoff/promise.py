"""Promise what is in stock to tasks in the order of the plan.

An earlier task has the first claim. What it cannot have in full it still holds in part, since
the rest will be bought for it.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from fractions import Fraction

__all__ = ["Promise", "promise"]


@dataclass(frozen=True, slots=True)
class Promise:
    """What one task is promised of one material, and what it is short of."""

    task: Hashable | None
    promised: Fraction
    short: Fraction


def promise(needs: Iterable[tuple[Hashable | None, Fraction]], stock: Fraction) -> list[Promise]:
    """Promise ``stock`` to ``needs`` in the order given.

    Parameters
    ----------
    needs
        (task, gross need) in the order of the plan, in the material's unit.
    stock
        In the same unit; a ledger that has gone below nought has nothing to promise.

    Examples
    --------
    >>> [(p.promised, p.short) for p in promise([("A", Fraction(2)), ("B", Fraction(2))],
    ...     Fraction(3))]
    [(Fraction(2, 1), Fraction(0, 1)), (Fraction(1, 1), Fraction(1, 1))]
    """
    left = max(stock, Fraction(0))
    given: list[Promise] = []
    for task, need in needs:
        held = min(need, left)
        left -= held
        given.append(Promise(task, held, need - held))
    return given
