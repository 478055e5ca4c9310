from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from buildlog.fields import AmountField, typed


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("240,38", "240.38"),  # decimal comma
        ("1.168,89", "1168.89"),  # grouped, decimal comma
        ("1,234.50", "1234.50"),  # grouped, decimal point
        ("0.125", "0.125"),  # three decimals after a nought are decimals
    ],
)
def test_amount_field_reads_either_decimal_mark(text, amount):
    assert AmountField().clean(text) == Decimal(amount)


def test_amount_field_asks_rather_than_guess():
    with pytest.raises(ValidationError, match="may be"):
        AmountField().clean("1,250")


@given(st.decimals(min_value=-9_999_999, max_value=9_999_999, places=4))
def test_what_is_shown_for_editing_reads_back_the_same(number):
    assert AmountField().clean(typed(number)) == number


def test_amount_field_keeps_the_limits_of_a_decimal_field():
    field = AmountField(min_value=0, max_digits=6, decimal_places=2)
    with pytest.raises(ValidationError, match="greater than or equal to 0"):
        field.clean("-1")
    with pytest.raises(ValidationError, match="decimal places"):
        field.clean("1.2345")
