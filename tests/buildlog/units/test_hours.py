"""Working time, as typed and as shown."""

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
    format_minutes,
    parse_hours,
)


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("1:30", 90),
        ("01:30:00", 90),  # how a spreadsheet gives a duration back
        ("1.5", 90),
        ("1,5", 90),
        (".5", 30),
        ("½", 30),
        ("1 1/2 h", 90),
        ("6", 360),
        ("6 hours", 360),
        ("90 min", 90),
        ("90m", 90),
        ("2h 15", 135),
        ("2h15m", 135),
        ("2 hrs and 15 mins", 135),
        ("1 h 30", 90),
        ("0", 0),
        ("1.33", 80),
        ("0.1", 6),
    ],
)
def test_it_reads_hours(text, minutes):
    assert parse_hours(text) == minutes


@pytest.mark.parametrize(
    ("text", "error", "says"),
    [
        ("-6", NegativeValue, "cannot be negative"),
        ("1:75", NotReadable, "an hour has 60"),
        ("2h 75", NotReadable, "an hour has 60"),
        ("1.5h 30", NotReadable, "not a number of hours"),
        ("2 days", NotReadable, "in days"),
        ("soon", NotReadable, "not a number of hours"),
        ("=1+1", NotReadable, "not a number of hours"),
        ("1,250", AmbiguousNumber, "1.250 or 1250"),
        ("999999", TooLarge, "check it"),
    ],
)
def test_it_refuses_what_is_no_time(text, error, says):
    with pytest.raises(error, match=says):
        parse_hours(text)


@given(st.integers(0, 5_999_999))
def test_what_is_shown_reads_back(minutes):
    assert parse_hours(format_minutes(minutes)) == minutes


@given(st.text(max_size=20))
def test_any_text_is_read_or_refused(text):
    try:
        assert parse_hours(text) >= 0
    except UnitError as error:
        assert str(error)
