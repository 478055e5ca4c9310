"""Units against sources outside the project.

Exact factors: NIST Special Publication 811 (2008) Appendix B and NIST Handbook 44 Appendix C
(inch 25.4 mm, avoirdupois pound 0.453 592 37 kg, US gallon 231 in³), definitions read in
secondary sources that quote them. Fractions of an inch: arithmetic from the exact inch. Every
conversion is also compared with pint's own table.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pint
import pytest

from buildlog.units import CURRENCIES, UNITS, convert, format_length, parse_length

D = Decimal


@pytest.mark.parametrize(
    ("value", "unit", "to", "expected"),
    [
        ("1", "in", "mm", "25.4"),
        ("1", "ft", "mm", "304.8"),
        ("1", "yd", "m", "0.9144"),
        ("1", "gal", "L", "3.785411784"),
        ("1", "pt", "mL", "473.176473"),
        ("1", "fl oz", "mL", "29.5735295625"),
        ("1", "lb", "g", "453.59237"),
        ("1", "oz", "g", "28.349523125"),
        ("1", "bf", "m³", "0.002359737216"),
        ("1", "yd²", "m²", "0.83612736"),
        ("1", "ft²", "m²", "0.09290304"),
        ("1", "ft³", "L", "28.316846592"),
        ("32", "°F", "°C", "0"),
        ("212", "°F", "°C", "100"),
        ("-40", "°C", "°F", "-40"),
        ("20", "°C", "K", "293.15"),
    ],
)
def test_factors_that_are_exact_by_definition(value, unit, to, expected):
    assert convert(D(value), unit, to) == D(expected)


@pytest.mark.parametrize(
    ("ounces", "grams"),
    [("1", "33.9057474749"), ("4", "135.62"), ("6", "203.43"), ("10", "339.06"),
     ("17", "576.40"), ("20", "678.11")],
)  # fmt: skip
def test_cloth_weights(ounces, grams):
    """oz/yd² to g/m², computed with pint from the definitions, to the decimals given."""
    found = convert(D(ounces), "oz/yd²", "g/m²")
    assert found.quantize(D(grams)) == D(grams)


def test_pounds_per_square_foot():
    """4.882 427 636 38, derived from the definitions."""
    assert abs(convert(D(1), "lb/ft²", "kg/m²") - D("4.88242763638")) < D("1e-11")


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ('1/64"', "0.396875"), ('1/16"', "1.5875"), ('1/8"', "3.175"), ('1/4"', "6.35"),
        ('3/8"', "9.525"), ('15/32"', "11.90625"), ('9/16"', "14.2875"), ('23/32"', "18.25625"),
        ('7/8"', "22.225"), ('1 1/2"', "38.1"), ('2 5/8"', "66.675"),
        ("0' 7/8\"", "22.225"), ("13' 7 5/8\"", "4156.075"), ("4' 11 15/16\"", "1522.4125"),
        ("2' 3 1/2\"", "698.5"),
    ],
)  # fmt: skip
def test_fractions_and_feet_to_millimetres_exactly(text, mm):
    assert parse_length(text) == D(mm)


@pytest.mark.parametrize(
    ("mm", "denominator", "inches"),
    [
        (4, 16, "3/16"), (4, 64, "5/32"), (6, 32, "1/4"), (9, 16, "3/8"), (9, 64, "23/64"),
        (12, 32, "15/32"), (15, 16, "9/16"), (15, 64, "19/32"), (18, 32, "23/32"), (25, 16, "1"),
        (25, 64, "63/64"), (38, 32, "1 1/2"), (1220, 16, "48 1/16"), (1220, 64, "48 1/32"),
        (2440, 32, "96 1/16"),
    ],
)  # fmt: skip
def test_millimetres_to_the_nearest_fraction(mm, denominator, inches):
    shown = format_length(D(mm), "imperial", denominator, feet=False)
    assert shown == f"≈ {inches}″"


def test_half_thickness_from_a_centre_line():
    assert parse_length('1 3/4"') / 2 == parse_length('7/8"') == D("22.225")


PINT = {
    "µm": "micrometer", "mm": "mm", "cm": "cm", "dm": "dm", "m": "m", "in": "inch", "ft": "foot",
    "yd": "yard", "mm²": "mm**2", "cm²": "cm**2", "m²": "m**2", "in²": "inch**2",
    "ft²": "foot**2", "yd²": "yard**2", "mL": "mL", "cL": "cL", "L": "L", "m³": "m**3",
    "in³": "inch**3", "ft³": "foot**3", "bf": "board_foot", "gal": "gallon", "qt": "quart",
    "pt": "pint", "fl oz": "fluid_ounce", "imp gal": "imperial_gallon",
    "imp pt": "imperial_pint", "imp fl oz": "imperial_fluid_ounce", "g": "g", "kg": "kg",
    "t": "metric_ton", "lb": "pound", "oz": "ounce", "g/m²": "g/m**2", "kg/m²": "kg/m**2",
    "oz/yd²": "ounce/yard**2", "lb/ft²": "pound/foot**2", "kg/m³": "kg/m**3",
    "g/cm³": "g/cm**3", "lb/ft³": "pound/foot**3", "°C": "degC", "°F": "degF", "K": "kelvin",
    "min": "minute", "h": "hour", "d": "day",
}  # fmt: skip
BASE = {
    "length": "mm", "area": "m²", "volume": "L", "mass": "kg", "areal weight": "g/m²",
    "density": "kg/m³", "temperature": "°C", "time": "min",
}  # fmt: skip


@pytest.fixture(scope="module")
def registry():
    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


@pytest.mark.parametrize("symbol", sorted(UNITS))
def test_every_unit_agrees_with_pint(symbol, registry):
    base = BASE[UNITS[symbol].dimension]
    theirs = registry.Quantity(7.25, PINT[symbol]).to(PINT[base]).magnitude
    ours = convert(D("7.25"), symbol, base)
    assert float(ours) == pytest.approx(theirs, rel=1e-9, abs=1e-9)


def test_the_imperial_gallon():
    """4.546 09 L, UK Units of Measurement Regulations 1995 (from memory; pint agrees)."""
    assert UNITS["imp gal"].factor == Fraction("4.54609")


@pytest.mark.parametrize(
    ("minor", "codes"),
    [
        (0, "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"),
        (3, "BHD IQD JOD KWD LYD OMR TND"),
        (4, "CLF UYW"),
    ],
)
def test_currencies_whose_minor_unit_is_not_two(minor, codes):
    """ISO 4217 list one (from memory)."""
    found = {code for code, row in CURRENCIES.items() if row.minor_unit == minor}
    assert found == set(codes.split())
