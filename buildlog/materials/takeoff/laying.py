"""Lay the pieces of the tasks, in plan order, on stock and then on new sheets or lengths.

What is opened up to each task is what must be bought for it and all before it; never more than
laying the pieces of all tasks at once, largest first, needs.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from buildlog.units.factors import to_decimal

from .lengthwise import count_lengths, micro, rack
from .sheetwise import Blank, blank, count_sheets, stack
from .values import Grain, Kind, Material, StockUnit

__all__ = ["Cutting", "Laid", "lay_out"]

_WHOLE = Fraction(999, 1000)


@dataclass(frozen=True, slots=True)
class Cutting:
    """The pieces of one part, as (length, width) in mm."""

    part: Hashable
    grain: Grain
    blanks: list[tuple[Decimal, Decimal]]


@dataclass(frozen=True, slots=True)
class Laid:
    """New sheets or lengths opened up to each task, and whether its pieces are all from stock."""

    opened: list[int]
    inside: list[bool]
    too_big: tuple[Hashable, ...] = ()


def lay_out(
    material: Material, tasks: list[list[Cutting]], held: Fraction, kerf_mm: Decimal
) -> Laid:
    """Lay out the pieces of each task in turn; a material that is not cut opens nothing."""
    if material.kind is Kind.SHEET and material.length_mm and material.width_mm:
        return _lay_sheets(material, tasks, held, kerf_mm)
    sold_whole = material.kind is Kind.TIMBER and material.unit is StockUnit.LENGTH
    if sold_whole and material.length_mm:
        return _lay_lengths(material.length_mm, tasks, held, kerf_mm)
    return Laid([0] * len(tasks), [True] * len(tasks))


def _strips(length_mm: Decimal, held: Fraction) -> list[Decimal]:
    """Stock as whole lengths and one rest. A ledger's last digit does not spoil a whole one."""
    whole, rest = divmod(held, 1)
    if rest >= _WHOLE:
        return [length_mm] * (whole + 1)
    strips = [length_mm] * whole
    return [*strips, to_decimal(Fraction(length_mm) * rest)] if rest else strips


def _lay_lengths(
    stock_mm: Decimal, tasks: list[list[Cutting]], held: Fraction, kerf_mm: Decimal
) -> Laid:
    in_hand = _strips(stock_mm, held)
    shelf = rack(stock_mm, in_hand, kerf_mm)
    opened, inside, too_big = [], [], []
    for rows in tasks:
        cuts = sorted(((mm, row) for row in rows for mm, _ in row.blanks), key=lambda c: -c[0])
        results = [(shelf.put(micro(mm)), row) for mm, row in cuts]
        too_big += [row.part for result, row in results if result is None]
        inside.append(all(result for result, _ in results))
        opened.append(shelf.bought)
    every = [mm for rows in tasks for row in rows for mm, _ in row.blanks]
    at_once, _ = count_lengths(every, stock_mm, in_hand, kerf_mm)
    return Laid([min(n, at_once) for n in opened], inside, tuple(dict.fromkeys(too_big)))


def _lay_sheets(
    material: Material, tasks: list[list[Cutting]], held: Fraction, kerf_mm: Decimal
) -> Laid:
    length, width = material.length_mm, material.width_mm
    assert length is not None and width is not None  # noqa: S101 (narrowed by the caller)
    in_hand = [(strip, width) for strip in _strips(length, held)]
    pile = stack(length, width, in_hand, kerf_mm)
    opened, inside, too_big = [], [], []
    every: list[Blank] = []
    for rows in tasks:
        own = [(blank(a, b, row.grain), row) for row in rows for a, b in row.blanks]
        every += [piece for piece, _ in own]
        own.sort(key=lambda pair: -pair[0].area)
        cuts = [(pile.put(piece), row) for piece, row in own]
        too_big += [row.part for cut, row in cuts if cut is None]
        inside.append(all(cut is not None and pile.in_hand(cut) for cut, _ in cuts))
        opened.append(pile.bought)
    at_once, _ = count_sheets(every, length, width, in_hand, kerf_mm)
    return Laid([min(n, at_once) for n in opened], inside, tuple(dict.fromkeys(too_big)))
