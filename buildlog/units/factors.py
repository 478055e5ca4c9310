"""Units and the exact numbers between them.

Every factor is a ``Fraction``, exact by definition, to the base unit of its dimension. The
definitions are those of NIST Special Publication 811 (2008), Appendix B, and NIST Handbook 44,
Appendix C: inch 25.4 mm, avoirdupois pound 0.453 592 37 kg, US gallon 231 cubic inches,
board foot 144 cubic inches (of nominal size). The imperial gallon is 4.546 09 L (UK Units of
Measurement Regulations 1995). A bare ``gal``, ``qt``, ``pt`` or ``fl oz`` is the US one.

Base units: mm, m², L, kg, g/m², kg/m³, °C, min.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Context, Decimal
from fractions import Fraction
from types import MappingProxyType

from .errors import UnknownUnit

__all__ = ["UNITS", "Unit", "convert", "find_unit"]


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit.

    ``factor`` times a value gives the base unit of the dimension; ``zero`` is added after
    (temperatures only). ``names`` are the other ways to write it, folded to lower case.
    """

    symbol: str
    dimension: str
    factor: Fraction
    names: tuple[str, ...] = ()
    zero: Fraction = Fraction(0)


_CONTEXT = Context(prec=28)


def _f(text: str) -> Fraction:
    return Fraction(text)


_INCH = _f("25.4")
_FOOT = 12 * _INCH
_GALLON = 231 * _INCH**3 / 10**6
_POUND = _f("0.45359237")
_SQUARE_YARD = (3 * _FOOT) ** 2 / 10**6
_IMP_GALLON = _f("4.54609")

_TABLE = (
    Unit("µm", "length", _f("0.001"), ("um", "micron", "microns")),
    Unit("mm", "length", _f("1"), ("millimetre", "millimetres", "millimeter", "millimeters")),
    Unit("cm", "length", _f("10"), ("centimetre", "centimetres", "centimeter", "centimeters")),
    Unit("dm", "length", _f("100"), ("decimetre", "decimetres", "decimeter", "decimeters")),
    Unit("m", "length", _f("1000"), ("metre", "metres", "meter", "meters", "mtr", "mtrs")),
    Unit("in", "length", _INCH, ('"', "inch", "inches", "ins")),
    Unit("ft", "length", _FOOT, ("'", "foot", "feet")),
    Unit("yd", "length", 3 * _FOOT, ("yard", "yards", "yds")),
    Unit("mm²", "area", _f("0.000001"), ("mm2", "sq mm")),
    Unit("cm²", "area", _f("0.0001"), ("cm2", "sq cm")),
    Unit("m²", "area", _f("1"), ("m2", "sq m", "sqm", "square metre", "square metres")),
    Unit("in²", "area", _INCH**2 / 10**6, ("in2", "sq in", "square inch", "square inches")),
    Unit("ft²", "area", _FOOT**2 / 10**6, ("ft2", "sq ft", "sqft", "square foot", "square feet")),
    Unit("yd²", "area", _SQUARE_YARD, ("yd2", "sq yd", "square yard", "square yards")),
    Unit("mL", "volume", _f("0.001"), ("ml", "millilitre", "millilitres", "milliliters", "cc")),
    Unit("cL", "volume", _f("0.01"), ("cl",)),
    Unit("L", "volume", _f("1"), ("l", "ltr", "litre", "litres", "liter", "liters")),
    Unit("m³", "volume", _f("1000"), ("m3", "cu m", "cubic metre", "cubic metres")),
    Unit("in³", "volume", _INCH**3 / 10**6, ("in3", "cu in", "cubic inch", "cubic inches")),
    Unit("ft³", "volume", _FOOT**3 / 10**6, ("ft3", "cu ft", "cubic foot", "cubic feet")),
    Unit("bf", "volume", 144 * _INCH**3 / 10**6, ("bd ft", "bdft", "board foot", "board feet")),
    Unit("gal", "volume", _GALLON, ("us gal", "gals", "gallon", "gallons")),
    Unit("qt", "volume", _GALLON / 4, ("us qt", "qts", "quart", "quarts")),
    Unit("pt", "volume", _GALLON / 8, ("us pt", "pts", "pint", "pints")),
    Unit("fl oz", "volume", _GALLON / 128, ("floz", "us fl oz", "fluid ounce", "fluid ounces")),
    Unit("imp gal", "volume", _IMP_GALLON, ("uk gal", "imperial gallon", "imperial gallons")),
    Unit("imp pt", "volume", _IMP_GALLON / 8, ("uk pt", "imperial pint", "imperial pints")),
    Unit("imp fl oz", "volume", _IMP_GALLON / 160, ("uk fl oz",)),
    Unit("g", "mass", _f("0.001"), ("gr", "gram", "grams", "gramme", "grammes")),
    Unit("kg", "mass", _f("1"), ("kgs", "kilo", "kilos", "kilogram", "kilograms")),
    Unit("t", "mass", _f("1000"), ("tonne", "tonnes")),
    Unit("lb", "mass", _POUND, ("lbs", "pound", "pounds")),
    Unit("oz", "mass", _POUND / 16, ("ounce", "ounces")),
    Unit("g/m²", "areal weight", _f("1"), ("g/m2", "gsm", "g/sq m")),
    Unit("kg/m²", "areal weight", _f("1000"), ("kg/m2", "kg/sq m")),
    Unit("oz/yd²", "areal weight", _POUND / 16 * 1000 / _SQUARE_YARD, ("oz/yd2", "oz/sq yd")),
    Unit(
        "lb/ft²",
        "areal weight",
        _POUND * 1000 / (_FOOT**2 / 10**6),
        ("lb/ft2", "lb/sq ft", "lbs/ft2"),
    ),
    Unit("kg/m³", "density", _f("1"), ("kg/m3", "kg/cu m")),
    Unit("g/cm³", "density", _f("1000"), ("g/cm3", "g/cc", "g/ml", "kg/l")),
    Unit("lb/ft³", "density", _POUND / (_FOOT**3 / 10**9), ("lb/ft3", "lb/cu ft", "pcf")),
    Unit("°C", "temperature", _f("1"), ("c", "degc", "deg c", "celsius")),
    Unit("°F", "temperature", Fraction(5, 9), ("f", "degf", "deg f", "fahrenheit"), -_f("160/9")),
    Unit("K", "temperature", _f("1"), ("kelvin",), -_f("273.15")),
    Unit("min", "time", _f("1"), ("mins", "minute", "minutes")),
    Unit("h", "time", _f("60"), ("hr", "hrs", "hour", "hours")),
    Unit("d", "time", _f("1440"), ("day", "days")),
)

UNITS: MappingProxyType[str, Unit] = MappingProxyType({unit.symbol: unit for unit in _TABLE})
"""All units by their symbol."""


def _folded(name: str) -> str:
    plain = name.translate(str.maketrans("²³μ", "23µ")).casefold()
    return re.sub(r"(?<=[a-z0-9])\.", "", plain).strip().casefold()


_BY_NAME: dict[str, Unit] = {}
for _unit in _TABLE:
    for _name in (_unit.symbol, *_unit.names):
        _BY_NAME[_folded(_name)] = _unit


def find_unit(name: str, dimension: str | None = None, typed: str = "") -> Unit:
    """The unit written as ``name``; case and full stops do not matter.

    Raises
    ------
    UnknownUnit
        When there is none, or it measures something else than ``dimension``.

    Examples
    --------
    >>> find_unit("Litres").symbol, find_unit("oz/yd2").symbol, find_unit("sq. ft").symbol
    ('L', 'oz/yd²', 'ft²')
    """
    unit = _BY_NAME.get(name) or _BY_NAME.get(_folded(name))
    if unit is None:
        raise UnknownUnit(typed or name, f"has a unit that is not known: {name}.")
    if dimension is not None and unit.dimension != dimension:
        raise UnknownUnit(
            typed or name, f"is not {_article(dimension)}: {unit.symbol} measures {unit.dimension}."
        )
    return unit


def _article(noun: str) -> str:
    return f"{'an' if noun[0] in 'aeiou' else 'a'} {noun}"


def convert(value: Decimal, unit: str, to: str) -> Decimal:
    """``value`` in ``unit``, given in ``to``.

    The arithmetic is exact; only a result without an end in decimals is rounded, once, half to
    even, at 28 significant digits.

    Raises
    ------
    UnknownUnit
        When a unit is not known, or the two measure different things.

    Examples
    --------
    >>> convert(Decimal(1), "gal", "L"), convert(Decimal(50), "°F", "°C")
    (Decimal('3.785411784'), Decimal('10'))
    >>> convert(Decimal(1), "oz/yd²", "g/m²")
    Decimal('33.905747474882295...')
    """
    source = find_unit(unit)
    target = find_unit(to, source.dimension, unit)
    base = Fraction(value) * source.factor + source.zero
    return to_decimal((base - target.zero) / target.factor)


def to_decimal(value: Fraction) -> Decimal:
    """A fraction as a decimal: exact where it ends, else 28 significant digits."""
    return _CONTEXT.divide(Decimal(value.numerator), Decimal(value.denominator))
