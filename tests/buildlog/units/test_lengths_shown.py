"""A shown length is rounded once, marked, and reads back."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from buildlog.units import (
    LONGEST_MM,
    exact_length,
    format_length,
    parse_length,
    show_length,
)

DENOMINATORS = [2, 4, 8, 16, 32, 64]
stored_mm = st.decimals(0, 100_000, places=6, allow_nan=False)


@pytest.mark.parametrize(
    ("mm", "denominator", "text"),
    [
        ("0", 16, "0″"),
        ("22.225", 16, "7/8″"),
        ("34.925", 16, "1 3/8″"),
        ("304.8", 16, "1′"),
        ("317.5", 16, "1′ 0 1/2″"),
        ("1384.3", 16, "4′ 6 1/2″"),
        ("1371.6", 16, "4′ 6″"),
        ("9", 16, "≈ 3/8″"),
        ("9", 64, "≈ 23/64″"),
        ("25.3", 16, "≈ 1″"),  # 15.94 sixteenths carry to a whole inch
        ("304.7", 16, "≈ 1′"),  # and a twelfth inch to a foot
        ("0.3", 16, "≈ 0″"),
        ("-22.225", 16, "−7/8″"),  # differences can be below nought
        ("25.4", 1, "1″"),
    ],
)
def test_imperial_text(mm, denominator, text):
    assert format_length(Decimal(mm), "imperial", denominator) == text


def test_inches_can_stand_without_feet():
    assert format_length(Decimal(2440), "imperial", 16, feet=False) == "≈ 96 1/16″"


@pytest.mark.parametrize(
    ("mm", "options", "text"),
    [
        ("18", {}, "18 mm"),
        ("18.000000", {}, "18 mm"),
        ("200", {}, "200 mm"),  # the noughts of a whole number are not idle
        ("9.525", {}, "≈ 9.5 mm"),
        ("9.525", {"places": 3}, "9.525 mm"),
        ("9.5", {"decimal": ","}, "9,5 mm"),
        ("2440", {}, "2440 mm"),
        ("12500", {}, "12\u202f500 mm"),
        ("2480", {"unit": "m", "places": 3}, "2.48 m"),
        ("-0.01", {}, "≈ 0 mm"),
        ("-4", {}, "−4 mm"),
    ],
)
def test_metric_text(mm, options, text):
    assert format_length(Decimal(mm), **options) == text


def test_the_pieces_set_a_fraction_as_a_fraction():
    shown = show_length(Decimal("1389.0625"), "imperial")
    assert (shown.feet, shown.inches, shown.numerator, shown.denominator) == (4, 6, 11, 16)
    assert shown.fraction == "¹¹⁄₁₆"
    assert shown.set_text == "4′ 6¹¹⁄₁₆″"
    assert show_length(Decimal("34.925"), "imperial").set_text == "1⅜″"


@pytest.mark.parametrize(
    ("system", "denominator"), [("nautical", 16), ("imperial", 10), ("imperial", 128)]
)
def test_it_refuses_options_it_does_not_have(system, denominator):
    with pytest.raises(ValueError, match=r"is one of|is “metric”"):
        show_length(Decimal(1), system, denominator)


@given(stored_mm, st.sampled_from(DENOMINATORS), st.booleans())
def test_shown_imperial_reads_back_to_the_nearest_fraction(mm, denominator, feet):
    shown = show_length(mm, "imperial", denominator, feet=feet)
    inches = Fraction(mm) / Fraction("25.4")
    nearest = Fraction(round(inches * denominator), denominator)
    for text in (shown.text, shown.set_text):
        assert Fraction(parse_length(text)) == nearest * Fraction("25.4")
    assert shown.exact == (nearest == inches)
    assert abs(nearest - inches) <= Fraction(1, 2 * denominator)


@given(st.integers(0, 200_000), st.sampled_from(DENOMINATORS))
def test_an_exact_fraction_comes_back_unmarked(steps, denominator):
    mm = parse_length(f'{steps // denominator} {steps % denominator}/{denominator}"')
    text = format_length(mm, "imperial", denominator)
    assert "≈" not in text
    assert parse_length(text) == mm


@given(stored_mm, st.sampled_from(DENOMINATORS[1:]))
def test_rounding_is_from_the_exact_length_never_from_a_rounded_one(mm, denominator):
    """Showing coarser is not rounding what was shown finer: both come from the exact length."""
    inches = Fraction(mm) / Fraction("25.4")
    coarse = show_length(mm, "imperial", denominator // 2, feet=False)
    value = (coarse.inches or 0) + Fraction(coarse.numerator, coarse.denominator)
    assert abs(value - inches) <= Fraction(1, denominator)


def test_double_rounding_would_show():
    """0.749 of a 1/2 step: by way of 1/4 it would round up, from the exact length it does not."""
    mm = parse_length("0.2495 in")
    assert format_length(mm, "imperial", 4) == "≈ 1/4″"
    assert format_length(mm, "imperial", 2) == "≈ 0″"


@given(stored_mm, st.sampled_from([0, 1, 2, 3]), st.sampled_from([",", "."]))
def test_shown_metric_reads_back(mm, places, decimal):
    text = format_length(mm, places=places, decimal=decimal)
    read = parse_length(text, decimal=decimal)
    assert abs(read - mm) <= Decimal(5) / 10 ** (places + 1)
    assert ("≈" in text) == (read != mm)


@given(
    st.decimals(0, LONGEST_MM, places=6) | st.decimals(0, 1000, places=3),
    st.sampled_from(["metric", "imperial"]),
    st.sampled_from([None, ",", "."]),
)
@example(Decimal("9.125"), "imperial", None)
def test_an_edited_length_reads_back_exactly(mm, system, decimal):
    assert parse_length(exact_length(mm, system), decimal=decimal) == mm
