"""Quantities with a unit: ``6 kg``, ``2.5 L``, ``200 g/m²``, ``3 sheets``, ``12 °C``.

Things that are counted have units too: they are what a supplier sells and the ledger counts.
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from .errors import MissingUnit, NotReadable, UnknownUnit
from .factors import UNITS, find_unit
from .numbers import DecimalMark, fraction, group, round_half_even, to_decimal
from .text import tidy

__all__ = ["COUNTED", "Quantity", "format_quantity", "parse_quantity", "plural", "unit_name"]

COUNTED = {
    "each": ("ea", "pc", "pcs", "piece", "pieces", "off", "no", "nos", "x"),
    "sheet": ("sheets", "sht", "shts", "panel", "panels"),
    "length": ("lengths", "board", "boards", "plank", "planks"),
    "pack": ("packs", "packet", "packets", "pkt", "box", "boxes", "bag", "bags", "kit", "kits"),
    "roll": ("rolls",),
    "tin": ("tins", "can", "cans", "tub", "tubs", "pot", "pots", "drum", "drums"),
}
"""Units of counted things, with the other words for each."""

_COUNTED_BY_NAME = {
    word: unit for unit, words in COUNTED.items() for word in (unit, *words)
}  # fmt: skip

_QUANTITY = re.compile(
    r"""
    (?P<sign>[-+]?)\ ?
    (?: (?:(?P<whole>\d+)[ -])?(?P<num>\d+)/(?P<den>\d+)
      | (?P<plain>\d{1,3}(?:[ ']\d{3})+(?:[.,]\d+)?(?!\d) | \d[\d.,]*\d | [.,]?\d+) )
    \ ?(?P<unit>[^\d\s].*)?
    """,
    re.VERBOSE | re.ASCII,
)


class Quantity(NamedTuple):
    """A value and the symbol of its unit."""

    value: Decimal
    unit: str


def unit_name(name: str, typed: str = "") -> str:
    """The symbol of a measured or counted unit, however it was written.

    Raises
    ------
    UnknownUnit
        When it is not known.

    Examples
    --------
    >>> unit_name("litres"), unit_name("Sheets"), unit_name("pcs.")
    ('L', 'sheet', 'each')
    """
    counted = _COUNTED_BY_NAME.get(name.strip().rstrip(".").casefold())
    return counted or find_unit(name, None, typed).symbol


def parse_quantity(
    text: str,
    default_unit: str | None = None,
    decimal: DecimalMark | None = None,
    dimension: str | None = None,
) -> Quantity:
    """Read a number and its unit; nothing is converted.

    Parameters
    ----------
    text
        Such as ``6 kg``, ``2,5 l``, ``1/2 gal``, ``200``. A sign is kept (temperatures, ledger).
    default_unit
        The unit of a bare number. None refuses bare numbers.
    decimal
        The decimal mark where it is known; see ``numbers``.
    dimension
        ``"mass"``, ``"volume"``, ``"area"``, ``"areal weight"``, ``"density"``,
        ``"temperature"``, ``"length"`` or ``"time"``; another is then refused.

    Raises
    ------
    MissingUnit, UnknownUnit, AmbiguousNumber, NotReadable, ZeroDenominator, TooLarge

    Examples
    --------
    >>> parse_quantity("6 kg")
    Quantity(value=Decimal('6'), unit='kg')
    >>> parse_quantity("200", default_unit="each"), parse_quantity("-3 °C", dimension="temperature")
    (Quantity(value=Decimal('200'), unit='each'), Quantity(value=Decimal('-3'), unit='°C'))
    """
    typed = text.strip()
    match = _QUANTITY.fullmatch(tidy(text.replace("²", "2").replace("³", "3"), "a quantity"))
    if match is None:
        raise NotReadable(typed, "is not a quantity. Write a number and a unit, such as 6 kg.")
    name = match["unit"] or default_unit
    if name is None:
        raise MissingUnit(typed, "has no unit: add one, such as kg or L.")
    unit = _known(name, dimension, typed)
    return Quantity(_number(match, typed, decimal), unit)


def _known(name: str, dimension: str | None, typed: str) -> str:
    try:
        unit = unit_name(name, typed)
    except UnknownUnit:
        if name.startswith("°"):
            unit = unit_name(name.replace(" ", ""), typed)
        else:
            raise
    if dimension is not None:
        if unit not in UNITS:
            raise UnknownUnit(typed, f"is counted in {unit}; a {dimension} is needed.")
        find_unit(unit, dimension, typed)
    return unit


def _number(match: re.Match[str], typed: str, decimal: DecimalMark | None) -> Decimal:
    if match["num"] is None:
        value = to_decimal(match["plain"], typed, decimal)
    else:
        part = fraction(match["num"], match["den"], typed) + int(match["whole"] or 0)
        value = round_half_even(part, 6)
    return -value if match["sign"] == "-" else value


def format_quantity(value: Decimal, unit: str, places: int = 2, decimal: DecimalMark = ".") -> str:
    """A quantity for reading: rounded once, half to even, idle noughts dropped.

    ``≈`` marks one that was rounded. Counted things stand with their word, plural where due.

    Examples
    --------
    >>> format_quantity(Decimal("12.3525"), "kg"), format_quantity(Decimal(2), "sheet")
    ('≈ 12.35 kg', '2 sheets')
    """
    rounded = round_half_even(Fraction(abs(value)), places)
    number = f"{rounded:f}"
    if "." in number:
        number = number.rstrip("0").rstrip(".")
    sign = ("" if rounded == abs(value) else "≈ ") + ("−" if value < 0 and rounded else "")
    shown = group(number, decimal, above=4)
    if unit in COUNTED:
        return f"{sign}{shown}" if unit == "each" else f"{sign}{shown} {plural(unit, rounded)}"
    return f"{sign}{shown} {unit}"


def plural(unit: str, number: Decimal) -> str:
    """The word for ``number`` of a counted unit."""
    if number == 1 or unit == "each":
        return unit
    return unit + ("es" if unit.endswith(("x", "s")) else "s")
