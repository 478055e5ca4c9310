"""Lengths as builders write them are read exactly, or refused with the fault named."""

from __future__ import annotations

import time
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.units import (
    AmbiguousNumber,
    Layers,
    MissingUnit,
    NegativeValue,
    NotReadable,
    TooLarge,
    UnitError,
    UnknownUnit,
    ZeroDenominator,
    parse_layers,
    parse_length,
)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ('1 3/4"', "44.45"),
        ('1-3/4"', "44.45"),  # a dash joins whole and fraction
        ('1 - 3/4"', "44.45"),
        ("1¾″", "44.45"),  # set fraction, prime mark
        ("7 ⅞”", "200.025"),  # curly quote
        ("3½''", "88.9"),  # two single quotes
        ("1³⁄₁₆ in", "30.1625"),  # raised and lowered digits
        ("1 3⁄16 in", "30.1625"),  # fraction slash
        ("⅟16 in", "1.5875"),  # fraction numerator one
        ("⅔ ft", "203.2"),  # thirds
        ('3/8"', "9.525"),
        ('5/4"', "31.75"),  # how thick stock is named
        ("4'-6 1/2\"", "1384.3"),
        ("4' 6 1/2\"", "1384.3"),
        ("4′–6½″", "1384.3"),
        ("4 ft 6 1/2 in", "1384.3"),
        ("4 feet, 6.5 inches", "1384.3"),
        ("8'4\"", "2540"),
        ("8'4", "2540"),  # inches are meant behind feet
        ("3'-9 5/8\"", "1158.875"),
        ("5 ft", "1524"),
        ("5½ ft", "1676.4"),
        ("0.75 in", "19.05"),
        (".75 in", "19.05"),
        ("0,75 in", "19.05"),
        ("35 7/16 in", "900.1125"),
        ("18mm", "18"),
        ("18 MM", "18"),
        ("18 mm.", "18"),
        ("18\u00a0mm", "18"),  # no-break space
        ("１８ mm", "18"),  # full-width digits
        ("43 cm", "430"),
        ("1.22 m", "1220"),
        ("2,48 m", "2480"),
        ("1 m 22 cm", "1220"),
        ("12 500 mm", "12500"),  # thousands parted by a space
        ("12\u202f500,5 mm", "12500.5"),
        ("1.234.567 mm", "1234567"),  # two points can only part thousands
        ("1,234.5 mm", "1234.5"),
        ("1.234,5 mm", "1234.5"),
        ("2.480 m", "2480"),  # 2480 m is no part of a boat
        ("1,125 in", "28.575"),
        ("0.125 mm", "0.125"),  # no thousands begin with nought
        ("9.525000 mm", "9.525"),
        ("250 µm", "0.25"),
        ("1 yd", "914.4"),
        ("≈ 3/8″", "9.525"),
        ("0 mm", "0"),
    ],
)
def test_it_reads_what_builders_write(text, mm):
    assert parse_length(text) == Decimal(mm)


@pytest.mark.parametrize(
    ("text", "unit", "mm"),
    [
        ("9", "mm", "9"),
        ("2", "in", "50.8"),
        ("1 3/4", "in", "44.45"),
        ("1.08", "m", "1080"),
        ("1.08 m", "in", "1080"),  # its own unit stands before the column's
    ],
)
def test_a_bare_number_is_in_the_agreed_unit(text, unit, mm):
    assert parse_length(text, unit=unit) == Decimal(mm)


@pytest.mark.parametrize(
    ("text", "error", "says"),
    [
        ('1 3/0"', ZeroDenominator, "3/0 is not a fraction"),
        ('1/00"', ZeroDenominator, "below the line"),
        ("-4 mm", NegativeValue, "cannot be negative"),
        ("−1 3/4″", NegativeValue, "cannot be negative"),
        ("9", MissingUnit, "has no unit"),
        ("1 3/4", MissingUnit, "has no unit"),
        ("2x9", MissingUnit, "has no unit"),
        ("3 kg", UnknownUnit, "kg measures mass"),
        ("12 mm²", UnknownUnit, "mm² measures area"),
        ("12 furlongs", UnknownUnit, "not known: furlongs"),
        ("1,250 mm", AmbiguousNumber, "1.250 or 1250"),
        ("1.250 mm", AmbiguousNumber, "1.250 or 1250"),
        ("1,250 cm", AmbiguousNumber, "1.250 or 1250"),
        ("", NotReadable, "Nothing typed"),
        ("   ", NotReadable, "Nothing typed"),
        ("oak", NotReadable, "is not a length"),
        ("=1+1", NotReadable, "is not a length"),
        ("9 mm x 2", NotReadable, "is not a length"),  # thickness or width? not ours to say
        ("18 mm 2", NotReadable, "second number without a unit"),
        ("5' 5'", NotReadable, "more than one length"),
        ("6\" 4'", NotReadable, "more than one length"),  # the larger comes first
        ('1 5/4"', NotReadable, "beside a whole number"),
        ("1.5/8 in", NotReadable, "is not a length"),
        ("1.23.4 mm", NotReadable, "wrong places"),
        ("1e5 mm", UnknownUnit, "not known: e"),
        ("0x9mm", NotReadable, "no layers"),
        ("nan mm", NotReadable, "is not a length"),
        ("100000 m", TooLarge, "check the unit"),
        ("9" * 30 + " mm", TooLarge, "digits"),
        ("1/9999999 in", TooLarge, "six digits"),
        ("1" * 500, NotReadable, "too long"),
    ],
)
def test_it_refuses_and_says_why(text, error, says):
    with pytest.raises(error, match=says) as raised:
        parse_length(text)
    assert raised.value.rule
    if text.strip():
        assert raised.value.text.strip()[:20] == text.strip()[:20]


@pytest.mark.parametrize(
    ("decimal", "mm"),
    [(",", "1.25"), (".", "1250")],
)
def test_the_decimal_mark_settles_an_open_number(decimal, mm):
    assert parse_length("1,250 mm", decimal=decimal) == Decimal(mm)


def test_the_decimal_mark_does_not_turn_a_clear_number_round():
    assert parse_length("2.5 mm", decimal=",") == Decimal("2.5")


@pytest.mark.parametrize(
    ("text", "layers"),
    [
        ("2x9mm", Layers(2, Decimal(9))),
        ("2 × 9 mm", Layers(2, Decimal(9))),
        ('3 x 1/4"', Layers(3, Decimal("6.35"))),
        ("9 mm", Layers(1, Decimal(9))),
    ],
)
def test_a_laminate_has_layers(text, layers):
    assert parse_layers(text) == layers
    assert parse_length(text) == layers.total == layers.count * layers.each


def test_a_laminate_takes_the_agreed_unit():
    assert parse_layers("2x9", unit="mm") == Layers(2, Decimal(9))


@given(st.integers(0, 10_000 * 64))
def test_every_64th_of_an_inch_is_held_exactly(sixtyfourths):
    whole, part = divmod(sixtyfourths, 64)
    read = parse_length(f'{whole} {part}/64"')
    assert Fraction(read) == Fraction(sixtyfourths, 64) * Fraction("25.4")
    assert read.as_tuple().exponent == -6


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused_by_a_unit_error(text):
    try:
        assert parse_length(text, unit="mm") >= 0
    except UnitError as error:
        assert str(error)


@given(
    st.from_regex(
        r"[-=]?[0-9]{0,4}[ .,']?[0-9]{1,4}[/ x⁄¾]?[0-9]{0,3} ?(mm|in|'|\"|ft|m|kg)?", fullmatch=True
    )
)
def test_near_lengths_are_read_or_refused_by_a_unit_error(text):
    try:
        assert parse_length(text, unit="in", decimal=",") >= 0
    except UnitError as error:
        assert error.reason.endswith(".")


def test_a_hostile_text_costs_no_time():
    begun = time.perf_counter()
    for text in ("1 " * 40, "1/" * 40, "1," * 40, "'" * 80, "1' 1\" " * 12, "9" * 80):
        with pytest.raises(UnitError):
            parse_length(text)
    assert time.perf_counter() - begun < 5  # a runaway pattern takes minutes
