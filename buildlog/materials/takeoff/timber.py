"""Timber by its trade sizes: board feet, and the dressed size of a nominal one.

Softwood in North America is *priced* by its nominal size and *weighs* by its dressed one: a
dry dressed 2 x 6 holds 0.6875 of its nominal volume.

Source of the dressed sizes: US Voluntary Product Standard PS 20, American Softwood Lumber
Standard, dimension lumber and boards. Board foot: 144 cubic inches of nominal size.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType

from buildlog.units.factors import to_decimal

__all__ = [
    "DRESSED_BOARD_DRY",
    "DRESSED_THICKNESS_DRY",
    "DRESSED_THICKNESS_GREEN",
    "DRESSED_WIDTH_DRY",
    "DRESSED_WIDTH_GREEN",
    "board_feet",
    "density_at_12_percent",
    "dressed_size",
]

_BOARD_FOOT_MM3 = 144 * Fraction("25.4") ** 3


def _table(text: str) -> MappingProxyType[Fraction, Fraction]:
    pairs = (line.split(":") for line in text.split(","))
    return MappingProxyType({_inches(nominal): _inches(dressed) for nominal, dressed in pairs})


def _inches(text: str) -> Fraction:
    return sum(map(Fraction, text.split()), Fraction(0))


DRESSED_THICKNESS_DRY = _table(
    "1: 3/4, 1 1/4: 1, 1 1/2: 1 1/4, 2: 1 1/2, 2 1/2: 2, 3: 2 1/2, 3 1/2: 3, 4: 3 1/2"
)
"""Nominal to dressed thickness, inches, at no more than 19 % moisture."""
DRESSED_THICKNESS_GREEN = _table(
    "1: 25/32, 1 1/4: 1 1/32, 1 1/2: 1 9/32, 2: 1 9/16, 2 1/2: 2 1/16, 3: 2 9/16, "
    "3 1/2: 3 1/16, 4: 3 9/16"
)
"""Nominal to dressed thickness, inches, green."""
DRESSED_BOARD_DRY = _table("3/8: 5/16, 1/2: 7/16, 5/8: 9/16, 3/4: 5/8")
"""Nominal to dressed thickness of thin boards, inches, dry."""
DRESSED_WIDTH_DRY = _table(
    "2: 1 1/2, 3: 2 1/2, 4: 3 1/2, 5: 4 1/2, 6: 5 1/2, 8: 7 1/4, 10: 9 1/4, 12: 11 1/4, "
    "14: 13 1/4, 16: 15 1/4"
)
"""Nominal to dressed width, inches, dry."""
DRESSED_WIDTH_GREEN = _table(
    "2: 1 9/16, 3: 2 9/16, 4: 3 9/16, 5: 4 5/8, 6: 5 5/8, 8: 7 1/2, 10: 9 1/2, 12: 11 1/2, "
    "14: 13 1/2, 16: 15 1/2"
)
"""Nominal to dressed width, inches, green."""


def dressed_size(
    thickness_in: Fraction, width_in: Fraction, *, green: bool = False
) -> tuple[Fraction, Fraction]:
    """The dressed thickness and width of a nominal size, inches.

    Raises
    ------
    KeyError
        When the standard has no such size.

    Examples
    --------
    >>> dressed_size(Fraction(2), Fraction(6))
    (Fraction(3, 2), Fraction(11, 2))
    """
    if green:
        return DRESSED_THICKNESS_GREEN[thickness_in], DRESSED_WIDTH_GREEN[width_in]
    thin = DRESSED_BOARD_DRY.get(thickness_in)
    return thin or DRESSED_THICKNESS_DRY[thickness_in], DRESSED_WIDTH_DRY[width_in]


def board_feet(thickness_mm: Decimal, width_mm: Decimal, length_mm: Decimal) -> Decimal:
    """Board feet of a piece by its *nominal* section, exact to 28 digits.

    Examples
    --------
    >>> board_feet(Decimal("50.8"), Decimal("152.4"), Decimal("3657.6"))  # 2 x 6, 12 ft
    Decimal('12')
    """
    feet = Fraction(thickness_mm) * Fraction(width_mm) * Fraction(length_mm) / _BOARD_FOOT_MM3
    return to_decimal(feet)


def density_at_12_percent(specific_gravity: Decimal) -> Decimal:
    """kg/m³ at 12 % moisture from a wood table's specific gravity.

    Wood tables give oven-dry mass over volume at 12 %; the water it holds comes on top.
    Source: USDA Forest Products Laboratory, Wood Handbook, chapter 4.

    Examples
    --------
    >>> density_at_12_percent(Decimal("0.48"))
    Decimal('537.60')
    """
    return 1120 * specific_gravity
