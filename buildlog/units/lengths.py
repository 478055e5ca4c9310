"""Read lengths as builders write them, and keep them exactly.

The one length type is a ``Decimal`` of millimetres with six decimals: 1/64 inch, 0.396875 mm,
and every multiple of it is held exactly. Fits a database column of 14 digits, 6 of them
decimals.

A comma or point follows the rule of ``numbers``, with one thing more: in metres, feet, yards and
inches a single mark with three digits behind it is a decimal mark (``1.125 in``, ``2,480 m``),
because a thousand of them is longer than 24 m, the longest hull that small-craft rules know.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from .errors import (
    MissingUnit,
    NegativeValue,
    NotReadable,
    TooLarge,
    UnitError,
    UnknownUnit,
    ZeroDenominator,
)
from .factors import Unit, find_unit
from .numbers import DecimalMark, fraction, mark_of, round_half_even, to_decimal
from .text import tidy

__all__ = ["LONGEST_MM", "MM_PER_INCH", "Layers", "parse_layers", "parse_length", "to_mm"]

MM_PER_INCH = Decimal("25.4")
LONGEST_MM = 99_999_999
PLACES = 6

_TERM = re.compile(
    r"""
    (?: (?:(?P<whole>\d+)\ ?[-+\ ]\ ?)? (?P<num>\d+)\ ?/\ ?(?P<den>\d+)
      | (?P<plain> \d{1,3}(?:\ \d{3})+(?![\d/])(?:[.,]\d+)?(?!\ ?/|\ \d)
                 | \d[\d.,]*\d | [.,]?\d+ )
    )
    \ ? (?P<unit> '' | "|'|(?:[a-zµμ]+[23²³]?)\.? )?
    """,
    re.VERBOSE | re.IGNORECASE | re.ASCII,
)
_BETWEEN = re.compile(r"\ ?(?:-|\+|,|and\b)?\ ?", re.IGNORECASE)
_LAYERS = re.compile(r"(?P<count>\d{1,3})\ ?[x*@]\ ?(?=[\d.,])", re.IGNORECASE | re.ASCII)
_LARGE_UNITS = frozenset({"m", "ft", "yd", "in"})


@dataclass(frozen=True, slots=True)
class Layers:
    """A thickness made up of equal layers: ``2x9mm`` is two of 9 mm."""

    count: int
    each: Decimal

    @property
    def total(self) -> Decimal:
        """The whole thickness, mm."""
        return self.count * self.each


def to_mm(value: Fraction, typed: str = "") -> Decimal:
    """An exact number of millimetres as the stored length, rounded once to six decimals.

    Raises
    ------
    NegativeValue, TooLarge
        Below zero, or longer than 99 999 999 mm.
    """
    if value < 0:
        raise NegativeValue(typed, "is less than nothing: a length cannot be negative.")
    if value > LONGEST_MM:
        raise TooLarge(typed, "is longer than 99 km; check the unit.")
    return round_half_even(value, PLACES)


def parse_length(text: str, unit: str | None = None, decimal: DecimalMark | None = None) -> Decimal:
    """Read one length.

    Parameters
    ----------
    text
        Such as ``1 3/4"``, ``1-3/4"``, ``1¾"``, ``4'-6 1/2"``, ``8'4"``, ``18mm``, ``0.75 in``,
        ``2,48 m``, ``5 ft``, ``2x9mm`` (two layers, 18 mm in all). ``≈`` or ``~`` in front is
        read over.
    unit
        The unit of a bare number, such as ``"mm"`` or ``"in"``. None refuses bare numbers.
    decimal
        The decimal mark where it is known; see ``numbers``.

    Returns
    -------
    Decimal
        Millimetres with six decimals. Zero is a length; a caller who cannot use it must say so.

    Raises
    ------
    ZeroDenominator, NegativeValue, MissingUnit, UnknownUnit, AmbiguousNumber, TooLarge, NotReadable
        All of them ``UnitError``, each naming the text and what is wrong with it.

    Examples
    --------
    >>> parse_length("4'-6 1/2\\"")
    Decimal('1384.300000')
    >>> parse_length("2,48 m"), parse_length("940", unit="mm")
    (Decimal('2480.000000'), Decimal('940.000000'))
    >>> parse_length('1 3/0"')
    Traceback (most recent call last):
    buildlog.units.errors.ZeroDenominator: “1 3/0"” has 0 below the line: 3/0 is not a fraction.
    """
    layers = parse_layers(text, unit, decimal)
    if layers.count == 1:
        return layers.each
    return to_mm(Fraction(layers.total), text)


def parse_layers(text: str, unit: str | None = None, decimal: DecimalMark | None = None) -> Layers:
    """Read a thickness that may be laminated; a plain length is one layer.

    Parameters, errors and lengths as for ``parse_length``.

    Examples
    --------
    >>> parse_layers("2x9mm")
    Layers(count=2, each=Decimal('9.000000'))
    >>> parse_layers('3/8"').count
    1
    """
    typed = text.strip()
    body = tidy(text, "a length").lstrip("≈~ ")
    if body.startswith("-"):
        raise NegativeValue(typed, "is less than nothing: a length cannot be negative.")
    count = 1
    layered = _LAYERS.match(body)
    if layered:
        count = int(layered["count"])
        body = body[layered.end() :]
        if count == 0:
            raise NotReadable(typed, "has no layers: 0 of anything is no thickness.")
    return Layers(count, to_mm(_sum_of_terms(body, typed, unit, decimal), typed))


def _sum_of_terms(body: str, typed: str, unit: str | None, decimal: DecimalMark | None) -> Fraction:
    total = Fraction(0)
    at = 0
    before: Unit | None = None
    while True:
        match = _TERM.match(body, at)
        if match is None:
            raise _not_a_length(body, typed)
        if match["unit"] is None and match.end() < len(body):
            raise _not_a_length(body, typed)
        here = _unit_of(match["unit"], before, unit, typed)
        if before is not None and here.factor >= before.factor:
            raise NotReadable(typed, "is more than one length; give one.")
        total += _value(match, here, typed, decimal) * here.factor
        at = match.end()
        if at == len(body):
            return total
        before = here
        gap = _BETWEEN.match(body, at)
        at = gap.end() if gap else at


def _unit_of(name: str | None, before: Unit | None, default: str | None, typed: str) -> Unit:
    if name is not None:
        try:
            return find_unit('"' if name == "''" else name, "length", typed)
        except UnknownUnit as error:
            raise UnknownUnit(typed, f"{error.reason} {_LENGTH_UNITS}") from None
    if before is not None:
        if before.symbol == "ft":
            return find_unit("in")
        raise NotReadable(typed, "has a second number without a unit.")
    if default is None:
        raise MissingUnit(typed, "has no unit: add one, such as mm or in.")
    return find_unit(default, "length")


_LENGTH_UNITS = "Lengths are in mm, cm, m, in or ft."


def _value(match: re.Match[str], unit: Unit, typed: str, decimal: DecimalMark | None) -> Fraction:
    if match["num"] is not None:
        part = fraction(match["num"], match["den"], typed)
        if match["whole"] is None:
            return part
        if part >= 1:
            raise NotReadable(
                typed, f"has {match['num']}/{match['den']} beside a whole number; check it."
            )
        return int(match["whole"]) + part
    plain = match["plain"]
    if plain.isdigit() and len(plain) < 10:
        return Fraction(int(plain))
    if decimal is None and unit.symbol in _LARGE_UNITS:
        decimal = mark_of(plain)[0]
    return Fraction(to_decimal(plain, typed, decimal))


def _not_a_length(body: str, typed: str) -> UnitError:
    bare = re.search(r"(\d+) ?/ ?(0+)(?!\d)", body)
    if bare:
        return ZeroDenominator(typed, f"has 0 below the line: {bare.group()} is not a fraction.")
    return NotReadable(typed, 'is not a length. Write it as 18 mm, 1.22 m, 1 3/4" or 4\'-6 1/2".')
