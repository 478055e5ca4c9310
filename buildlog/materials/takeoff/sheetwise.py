"""Count the sheets that pieces can be cut from, with straight cuts from edge to edge.

Area alone lies: two panels of 1300 x 1000 do not come out of one sheet of 2500 x 1220, although
their area does. The count is that of a layout that works: pieces largest first, each into the
first sheet that still has room, there into the free rectangle it fits most closely; what is
left is split in two by one more straight cut. Three orders are tried and the best kept.

A known simple method (guillotine split, best short side fit; see Jylänki 2010, "A thousand ways
to pack the bin"). It gives an upper bound of the fewest sheets; cutting layouts proper may save
a sheet. Integers throughout: one unit is 0.000001 mm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from .lengthwise import micro
from .values import Grain

__all__ = ["Blank", "Cut", "SheetStack", "count_sheets"]


@dataclass(frozen=True, slots=True)
class Blank:
    """A rectangle to be cut; length along the sheet unless ``may_turn``. Millionths of a mm."""

    length: int
    width: int
    may_turn: bool = False

    @property
    def area(self) -> int:
        """In square units."""
        return self.length * self.width


@dataclass(frozen=True, slots=True)
class Cut:
    """Where a blank lies: number of its sheet, corner, and size as it lies there."""

    sheet: int
    x: int
    y: int
    length: int
    width: int


def blank(length_mm: Decimal, width_mm: Decimal, grain: Grain = Grain.ANY) -> Blank:
    """The blank of a piece; one with its grain across lies across the sheet."""
    length, width = micro(length_mm), micro(width_mm)
    if grain is Grain.ACROSS:
        length, width = width, length
    return Blank(length, width, grain is Grain.ANY)


_Free = tuple[int, int, int, int]


@dataclass(slots=True)
class SheetStack:
    """Sheets in hand and sheets to be bought, with the free rectangles left on each.

    Attributes
    ----------
    length, width
        Of a new sheet.
    kerf
        Lost between two pieces.
    free
        Free rectangles (x, y, length, width) of each sheet, those in hand first. Each sheet and
        blank is taken one kerf larger both ways, so that none is lost at the edges.
    bought
        How many sheets had to be bought.
    """

    length: int
    width: int
    kerf: int
    free: list[list[_Free]] = field(default_factory=list)
    bought: int = 0

    def put(self, piece: Blank) -> Cut | None:
        """Lay one blank on the first sheet that takes it; None when it is larger than a sheet."""
        ways = self._ways(piece)
        for sheet in range(len(self.free)):
            cut = self._lay(sheet, ways)
            if cut is not None:
                return cut
        if not any(a <= self.length + self.kerf and b <= self.width + self.kerf for a, b in ways):
            return None
        self.free.append([(0, 0, self.length + self.kerf, self.width + self.kerf)])
        self.bought += 1
        return self._lay(len(self.free) - 1, ways)

    def in_hand(self, cut: Cut) -> bool:
        """Whether a cut lies on a sheet that was in hand."""
        return cut.sheet < len(self.free) - self.bought

    def _ways(self, piece: Blank) -> tuple[tuple[int, int], ...]:
        upright = (piece.length + self.kerf, piece.width + self.kerf)
        if piece.may_turn and piece.length != piece.width:
            return upright, (upright[1], upright[0])
        return (upright,)

    def _lay(self, sheet: int, ways: tuple[tuple[int, int], ...]) -> Cut | None:
        best: tuple[int, int, int, int] | None = None
        chosen = (0, 0, 0)
        for i, (_, _, free_l, free_w) in enumerate(self.free[sheet]):
            for a, b in ways:
                if a <= free_l and b <= free_w:
                    spare = (free_l - a, free_w - b)
                    score = (min(spare), max(spare), i, a)
                    if best is None or score < best:
                        best, chosen = score, (i, a, b)
        if best is None:
            return None
        i, a, b = chosen
        x, y, free_l, free_w = self.free[sheet].pop(i)
        self.free[sheet] += _split(x, y, free_l, free_w, a, b)
        return Cut(sheet, x, y, a - self.kerf, b - self.kerf)


def _split(x: int, y: int, free_l: int, free_w: int, a: int, b: int) -> list[_Free]:
    """The two rectangles left when ``a`` x ``b`` is cut from a corner, the larger kept whole."""
    right, above = free_l - a, free_w - b
    if right * free_w >= above * free_l:
        rest = [(x + a, y, right, free_w), (x, y + b, a, above)]
    else:
        rest = [(x, y + b, free_l, above), (x + a, y, right, b)]
    return [r for r in rest if r[2] > 0 and r[3] > 0]


def stack(
    length_mm: Decimal,
    width_mm: Decimal,
    in_hand_mm: Iterable[tuple[Decimal, Decimal]] = (),
    kerf_mm: Decimal = Decimal(0),
) -> SheetStack:
    """A stack with the pieces of sheet in hand on it, the smallest first."""
    kerf = micro(kerf_mm)
    held = sorted(in_hand_mm, key=lambda size: size[0] * size[1])
    free: list[list[_Free]] = [[(0, 0, micro(a) + kerf, micro(b) + kerf)] for a, b in held]
    return SheetStack(micro(length_mm), micro(width_mm), kerf, free)


ORDERS: tuple[Callable[[Blank], tuple[int, ...]], ...] = (
    lambda b: (-b.area,),
    lambda b: (-max(b.length, b.width), -b.area),
    lambda b: (-b.width, -b.length),
)
"""The orders tried: by area, by longer side, by width across the sheet."""

_MANY = 600


def count_sheets(
    blanks: Sequence[Blank],
    length_mm: Decimal,
    width_mm: Decimal,
    in_hand_mm: Iterable[tuple[Decimal, Decimal]] = (),
    kerf_mm: Decimal = Decimal(0),
) -> tuple[int, tuple[int, ...]]:
    """Sheets to buy for these blanks, and the indices of blanks larger than a sheet.

    Parameters
    ----------
    blanks
        What is to be cut.
    length_mm, width_mm
        The sheet that is sold.
    in_hand_mm
        Sheets and rectangles of sheet in hand, used first.
    kerf_mm
        Lost between two pieces.

    Examples
    --------
    >>> panel = blank(Decimal(1300), Decimal(1000))
    >>> count_sheets([panel, panel], Decimal(2500), Decimal(1220))
    (2, ())
    """
    held = list(in_hand_mm)
    best: tuple[int, tuple[int, ...]] | None = None
    for order in ORDERS[: 1 if len(blanks) > _MANY else None]:
        pile = stack(length_mm, width_mm, held, kerf_mm)
        turn = sorted(range(len(blanks)), key=lambda i: order(blanks[i]))
        too_big = [i for i in turn if pile.put(blanks[i]) is None]
        if best is None or (len(too_big), pile.bought) < (len(best[1]), best[0]):
            best = (pile.bought, tuple(sorted(too_big)))
    return best or (0, ())
