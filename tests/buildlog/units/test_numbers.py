"""Numbers with either decimal mark."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.units import (
    AmbiguousNumber,
    NotReadable,
    TooLarge,
    UnitError,
    detect_decimal,
    parse_decimal,
    round_half_even,
    typed_number,
)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1.168,89", "1168.89"),
        ("1,234.50", "1234.50"),
        ("240,38", "240.38"),
        ("6,5", "6.5"),
        ("84.70", "84.70"),
        ("0,385", "0.385"),  # thousands do not begin with nought
        ("1.2345", "1.2345"),  # thousands come in threes
        ("1234.567", "1234.567"),  # no four digits before a thousands mark
        ("1.234.567", "1234567"),
        ("1,23,456.50", "123456.50"),  # lakhs
        ("1 168,89", "1168.89"),
        ("1'168.89", "1168.89"),
        ("-6", "-6"),
        ("−6,5", "-6.5"),
        ("+3", "3"),
        (" 200 ", "200"),
    ],
)
def test_it_reads_either_mark(text, value):
    assert parse_decimal(text) == Decimal(value)


@pytest.mark.parametrize("text", ["1,250", "1.250", "999.999"])
def test_an_open_number_is_asked_about(text):
    with pytest.raises(AmbiguousNumber, match="say whether comma or point"):
        parse_decimal(text)


def test_the_mark_settles_it():
    assert parse_decimal("1,250", decimal=",") == Decimal("1.25")
    assert parse_decimal("1,250", decimal=".") == Decimal(1250)
    assert parse_decimal("1.250", decimal=",") == Decimal(1250)


@pytest.mark.parametrize(
    ("text", "error"),
    [
        ("", NotReadable),
        ("abc", NotReadable),
        ("=1+1", NotReadable),
        ("1 2", NotReadable),
        ("1.2.3", NotReadable),
        ("1,2,3", NotReadable),
        ("12.34,56,78", NotReadable),
        ("1e9", NotReadable),
        ("inf", NotReadable),
        ("--1", NotReadable),
        ("9" * 19, TooLarge),
    ],
)
def test_it_refuses_what_is_no_number(text, error):
    with pytest.raises(error):
        parse_decimal(text)


@pytest.mark.parametrize(
    ("column", "mark"),
    [
        (["6,5", "4", "8"], ","),
        (["1,250", "2,5"], ","),
        (["1,250", "1,234.5"], "."),
        (["1.234.567"], ","),
        (["1,250", "8"], None),  # nothing tells
        (["240,38", "51.55", "1.168,89"], None),  # they disagree; each reads by itself
        (["2,48 m", "18mm", '1 3/4"'], ","),
        ([], None),
        (["", "abc"], None),
    ],
)
def test_a_column_tells_its_mark(column, mark):
    assert detect_decimal(column) == mark


@given(st.decimals(-1_000_000, 1_000_000, places=2), st.sampled_from([",", "."]))
def test_written_with_a_known_mark_it_reads_back(value, mark):
    thousands = "." if mark == "," else ","
    text = f"{value:,}".replace(",", "t").replace(".", mark).replace("t", thousands)
    assert parse_decimal(text, mark) == value


@given(st.text(alphabet="0123456789.,' -+", max_size=12))
def test_any_digits_and_marks_are_read_or_refused(text):
    try:
        parse_decimal(text)
    except UnitError as error:
        assert str(error)


@given(st.fractions(-1000, 1000), st.integers(0, 8))
def test_half_even_rounding_is_the_nearest(value, places):
    rounded = round_half_even(value, places)
    assert abs(Fraction(rounded) - value) <= Fraction(1, 2 * 10**places)


def test_ties_go_to_even():
    assert round_half_even(Fraction(5, 2), 0) == 2
    assert round_half_even(Fraction(-7, 2), 0) == -4


@given(
    st.decimals("-99999999", "99999999", places=6) | st.decimals("-1000", "1000", places=3),
    st.sampled_from([None, ",", "."]),
)
def test_a_typed_number_reads_back_whatever_mark_is_expected(number, decimal):
    assert parse_decimal(typed_number(number), decimal=decimal) == number
