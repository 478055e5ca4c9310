"""Amounts are read with their currency, rounded to the coin, shown and spread."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.units import (
    CURRENCIES,
    AmbiguousNumber,
    NotReadable,
    UnknownCurrency,
    find_currency,
    format_money,
    parse_amount,
    round_to_minor,
    spread,
)


@pytest.mark.parametrize(
    ("text", "value", "currency", "sign"),
    [
        ("240,38", "240.38", None, ""),
        ("1.168,89", "1168.89", None, ""),
        ("€ 51.55", "51.55", "EUR", "€"),
        ("51,55 €", "51.55", "EUR", "€"),
        ("£84.70", "84.70", "GBP", "£"),
        ("$1,234.50", "1234.50", None, "$"),
        ("USD 12", "12", "USD", ""),
        ("12.00 eur", "12", "EUR", ""),
        ("CHF 1'168.85", "1168.85", "CHF", ""),
        ("kr 200", "200", None, "kr"),
        ("-3.20", "-3.20", None, ""),
        ("−€3.20", "-3.20", "EUR", "€"),
        ("€-3.20", "-3.20", "EUR", "€"),
        ("(84.70)", "-84.70", None, ""),
        ("84,70-", "-84.70", None, ""),
        ("12,-", "12", None, ""),
        ("$ 1,234.50 CAD", "1234.50", "CAD", "$"),
    ],
)
def test_it_reads_an_amount(text, value, currency, sign):
    assert parse_amount(text) == (Decimal(value), currency, sign)


@pytest.mark.parametrize(
    ("text", "error", "says"),
    [
        ("abc", NotReadable, "not an amount"),
        ("", NotReadable, "Nothing typed"),
        ("€", NotReadable, "not an amount"),
        ("=1+1", NotReadable, "not an amount"),
        ("(84.70", NotReadable, "not an amount"),
        ("-84.70-", NotReadable, "more than one minus"),
        ("€ 1.168", AmbiguousNumber, "may be 1.168 or 1168"),
        ("EUR 5 USD", UnknownCurrency, "two currencies"),
    ],
)
def test_it_refuses_and_names_the_whole_text(text, error, says):
    with pytest.raises(error, match=says) as raised:
        parse_amount(text)
    assert raised.value.text == text


def test_a_shared_sign_means_the_builds_own_currency_or_is_asked_about():
    assert parse_amount("$5").currency_or("NZD") == "NZD"
    assert parse_amount("5").currency_or("GBP") == "GBP"
    assert parse_amount("€5").currency_or("GBP") == "EUR"
    with pytest.raises(UnknownCurrency, match="give the currency's code"):
        parse_amount("$5").currency_or("EUR")


@pytest.mark.parametrize(
    ("amount", "currency", "rounded"),
    [
        ("2.345", "EUR", "2.34"),  # half to even, down
        ("2.355", "EUR", "2.36"),  # and up
        ("2.5", "JPY", "2"),
        ("3.5", "JPY", "4"),
        ("1.0005", "KWD", "1.000"),
        ("1.00005", "CLF", "1.0000"),
        ("-0.001", "EUR", "0.00"),
    ],
)
def test_it_rounds_to_the_minor_unit_half_to_even(amount, currency, rounded):
    result = round_to_minor(Decimal(amount), currency)
    assert str(result) == rounded


@pytest.mark.parametrize(
    ("amount", "currency", "text"),
    [
        ("1168.885", "EUR", "€1\u202f168.88"),
        ("999.9", "GBP", "£999.90"),
        ("-5", "EUR", "−€5.00"),
        ("1234567", "JPY", "¥1\u202f234\u202f567"),
        ("9", "KWD", "KWD\u00a09.000"),
        ("12.5", "USD", "USD\u00a012.50"),  # $ is many currencies
        ("12.5", "PLN", "zł\u00a012.50"),
        ("-0.001", "EUR", "€0.00"),
    ],
)
def test_it_is_shown_in_its_currency(amount, currency, text):
    assert format_money(Decimal(amount), currency) == text


def test_it_can_be_shown_with_a_comma_a_code_or_bare():
    amount = Decimal("1234.5")
    assert format_money(amount, "EUR", decimal=",") == "€1\u202f234,50"
    assert format_money(amount, "EUR", mark="code") == "EUR\u00a01\u202f234.50"
    assert format_money(amount, "EUR", mark="none") == "1\u202f234.50"


@given(
    st.decimals(-(10**9), 10**9, places=4),
    st.sampled_from(sorted(CURRENCIES)),
    st.sampled_from([",", "."]),
    st.sampled_from(["sign", "code", "none"]),
)
def test_what_is_shown_reads_back_to_the_rounded_amount(amount, currency, decimal, mark):
    read = parse_amount(format_money(amount, currency, decimal, mark), decimal)
    assert read.value == round_to_minor(amount, currency)
    assert read.currency_or(currency) == currency


def test_an_unknown_code_is_refused_not_taken_for_two_decimals():
    with pytest.raises(UnknownCurrency, match="not a currency code"):
        find_currency("XYZ")


@given(
    st.decimals(-100_000, 100_000, places=3),
    st.lists(st.decimals(0, 10_000, places=2), min_size=1, max_size=12),
    st.sampled_from(["EUR", "JPY", "KWD"]),
)
def test_a_spread_amount_adds_up_and_each_share_is_fair(total, weights, currency):
    shares = spread(total, weights, currency)
    rounded = round_to_minor(total, currency)
    assert sum(shares) == rounded
    coin = Decimal(1).scaleb(-find_currency(currency).minor_unit)
    whole = sum(weights)
    for share, weight in zip(shares, weights, strict=True):
        assert share == round_to_minor(share, currency)
        fair = rounded * weight / whole if whole else rounded / len(weights)
        assert abs(share - fair) < coin + Decimal("1e-15")


def test_it_will_not_spread_over_nothing_or_less():
    with pytest.raises(ValueError, match="no lines"):
        spread(Decimal(1), [], "EUR")
    with pytest.raises(ValueError, match="below zero"):
        spread(Decimal(1), [Decimal(-1)], "EUR")
