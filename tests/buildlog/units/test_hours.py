"""Working time where the decimal mark may be known; `tests/tasks/test_hours.py` has the grammar."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.units import (
    AmbiguousNumber,
    NegativeValue,
    NotReadable,
    TooLarge,
    UnitError,
    ZeroDenominator,
    parse_hours,
)


@pytest.mark.parametrize(
    ("text", "decimal", "minutes"),
    [
        ("1.5", None, 90),
        ("1,5", ".", 90),  # the mark settles only what is open
        ("1,250", ",", 75),
        ("1,250 h", ".", 75_000),
        ("2h 15", None, 135),
    ],
)
def test_it_reads_hours_by_the_columns_decimal_mark(text, decimal, minutes):
    assert parse_hours(text, decimal) == minutes


@pytest.mark.parametrize(
    ("text", "error", "says"),
    [
        ("", NotReadable, "Nothing typed"),
        ("-6", NegativeValue, "cannot be negative"),
        ("1:75", NotReadable, "an hour has 60"),
        ("2 days", NotReadable, "in days"),
        ("=1+1", NotReadable, "not a number of hours"),
        ("1,250", AmbiguousNumber, "1.250 or 1250"),
        ("1/0", ZeroDenominator, "below the line"),
        ("999999", TooLarge, "check it"),
    ],
)
def test_it_refuses_what_is_no_time(text, error, says):
    with pytest.raises(error, match=says):
        parse_hours(text)


@given(st.text(max_size=20))
def test_any_text_is_read_or_refused(text):
    try:
        assert parse_hours(text) >= 0
    except UnitError as error:
        assert str(error)
