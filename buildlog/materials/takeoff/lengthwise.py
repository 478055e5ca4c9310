"""Count the stock lengths that pieces can be cut from, by first-fit decreasing.

Running metres alone lie: three pieces of 1.5 m do not come out of a 4 m and a 0.5 m length.
The count given is that of a plan that works, longest piece first, each into the first length
that still holds it. It is never below the fewest possible and at most 11/9 of it plus 6/9
(Dósa 2007, for equal bins); cutting plans proper may do better.

Integers throughout: one unit is 0.000001 mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

__all__ = ["LengthRack", "count_lengths", "micro"]


def micro(mm: Decimal) -> int:
    """A length in millionths of a millimetre."""
    return int((mm * 1_000_000).to_integral_value())


@dataclass(slots=True)
class LengthRack:
    """Lengths in hand and lengths to be bought, with what is left on each.

    Attributes
    ----------
    stock
        A new length, in millionths of a millimetre.
    kerf
        Lost between two pieces.
    left
        What is left on each length, those in hand first.
    bought
        How many of ``left`` had to be bought.
    """

    stock: int
    kerf: int
    left: list[int] = field(default_factory=list)
    bought: int = 0

    def put(self, piece: int) -> bool | None:
        """Cut one piece: True from a length in hand, False from a bought one, None: too long.

        A kerf falls between pieces, not after the last: each length is taken one kerf longer.
        """
        need = piece + self.kerf
        for i, room in enumerate(self.left):
            if need <= room:
                self.left[i] = room - need
                return i < len(self.left) - self.bought
        if piece > self.stock:
            return None
        self.left.append(self.stock + self.kerf - need)
        self.bought += 1
        return False


def rack(
    stock_mm: Decimal, in_hand_mm: Iterable[Decimal] = (), kerf_mm: Decimal = Decimal(0)
) -> LengthRack:
    """A rack with the lengths in hand on it, the shortest first so that offcuts go first."""
    kerf = micro(kerf_mm)
    return LengthRack(micro(stock_mm), kerf, [micro(mm) + kerf for mm in sorted(in_hand_mm)])


def count_lengths(
    pieces_mm: Sequence[Decimal],
    stock_mm: Decimal,
    in_hand_mm: Iterable[Decimal] = (),
    kerf_mm: Decimal = Decimal(0),
) -> tuple[int, tuple[int, ...]]:
    """Stock lengths to buy for these pieces, and the indices of pieces too long for one.

    Parameters
    ----------
    pieces_mm
        The pieces.
    stock_mm
        The length that is sold.
    in_hand_mm
        Lengths in hand, used first.
    kerf_mm
        Lost between two pieces.

    Examples
    --------
    >>> count_lengths([Decimal(1500)] * 3, Decimal(4000), kerf_mm=Decimal(3))
    (2, ())
    >>> count_lengths([Decimal(900)], Decimal(800))
    (0, (0,))
    """
    shelf = rack(stock_mm, in_hand_mm, kerf_mm)
    order = sorted(range(len(pieces_mm)), key=lambda i: -pieces_mm[i])
    too_long = [i for i in order if shelf.put(micro(pieces_mm[i])) is None]
    return shelf.bought, tuple(sorted(too_long))
