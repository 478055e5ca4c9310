"""Quantities with units, and conversions between them."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.units import (
    UNITS,
    MissingUnit,
    NotReadable,
    UnknownUnit,
    ZeroDenominator,
    convert,
    format_quantity,
    parse_quantity,
)


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("6 kg", "6", "kg"),
        ("6kg", "6", "kg"),
        ("2.5 L", "2.5", "L"),
        ("2,5 litres", "2.5", "L"),
        ("1/2 gal", "0.5", "gal"),
        ("1 1/2 US gal", "1.5", "gal"),
        ("3 imp gal", "3", "imp gal"),
        ("8 fl. oz.", "8", "fl oz"),
        ("8 oz", "8", "oz"),
        ("200 g/m2", "200", "g/m²"),
        ("200 g/m²", "200", "g/m²"),
        ("6 oz/yd²", "6", "oz/yd²"),
        ("12 bd ft", "12", "bf"),
        ("3 m²", "3", "m²"),
        ("32 sq ft", "32", "ft²"),
        ("450 kg/m3", "450", "kg/m³"),
        ("3 sheets", "3", "sheet"),
        ("200 pcs", "200", "each"),
        ("2 boxes", "2", "pack"),
        ("-3 °C", "-3", "°C"),
        ("54 ℉", "54", "°F"),
        ("12 c", "12", "°C"),
    ],
)
def test_it_reads_value_and_unit(text, value, unit):
    assert parse_quantity(text) == (Decimal(value), unit)


def test_a_bare_number_takes_the_agreed_unit():
    assert parse_quantity("200", default_unit="each") == (Decimal(200), "each")
    with pytest.raises(MissingUnit, match="has no unit"):
        parse_quantity("200")


@pytest.mark.parametrize(
    ("text", "dimension", "error", "says"),
    [
        ("3 m", "mass", UnknownUnit, "m measures length"),
        ("3 sheets", "area", UnknownUnit, "counted in sheet"),
        ("3 bananas", None, UnknownUnit, "not known: bananas"),
        ("kg", None, NotReadable, "Write a number"),
        ("1/0 gal", None, ZeroDenominator, "below the line"),
    ],
)
def test_it_refuses_other_units(text, dimension, error, says):
    with pytest.raises(error, match=says):
        parse_quantity(text, dimension=dimension)


def test_units_of_unlike_things_do_not_convert():
    with pytest.raises(UnknownUnit, match=r"is not a mass|is not a volume"):
        convert(Decimal(1), "L", "kg")


@given(
    st.decimals(-10_000, 10_000, places=3),
    st.sampled_from(sorted(UNITS)),
    st.data(),
)
def test_there_and_back_is_the_same(value, unit, data):
    alike = sorted(u for u in UNITS if UNITS[u].dimension == UNITS[unit].dimension)
    to = data.draw(st.sampled_from(alike))
    back = convert(convert(value, unit, to), to, unit)
    # 28 digits each way; a temperature loses some of them to its offset
    assert abs(Fraction(back) - Fraction(value)) <= Fraction(1, 10**18)


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        ("12.3525", "kg", "≈ 12.35 kg"),
        ("12.50", "kg", "12.5 kg"),
        ("200", "each", "200"),
        ("1", "sheet", "1 sheet"),
        ("2", "sheet", "2 sheets"),
        ("0.5", "length", "0.5 lengths"),
        ("3", "tin", "3 tins"),
        ("-3", "°C", "−3 °C"),
        ("-0.001", "kg", "≈ 0 kg"),
        ("12500", "L", "12\u202f500 L"),
    ],
)
def test_it_is_shown_with_its_unit(value, unit, text):
    assert format_quantity(Decimal(value), unit) == text
