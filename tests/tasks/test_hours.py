from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tasks.hours import NotHours, read_hours, show_hours


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("3", 180),
        (" 3.5 ", 210),
        ("3,25", 195),  # a decimal comma
        ("3:30", 210),
        ("3 h 30", 210),
        ("3h30", 210),
        ("3 hours 5 min", 185),
        ("45 min", 45),
        ("45m", 45),
        ("1 1/2", 90),
        ("1½ h", 90),
        ("01:30:00", 90),  # how a spreadsheet gives a duration back
        ("2 hrs and 15 mins", 135),
        ("1.33", 80),
        ("0", 0),
    ],
)
def test_hours_are_read_as_builders_write_them(text, minutes):
    assert read_hours(text) == minutes


@pytest.mark.parametrize(
    "text", ["", "some", "3 30", "1.5 h 30", "1e3", "3 h 30 m 2", "٣x", "h", ".", "1.2.3"]
)
def test_what_is_no_number_of_hours_is_refused_with_examples(text):
    with pytest.raises(NotHours, match=r"write 3, 3.5, 3:30"):
        read_hours(text)


def test_a_day_is_read_only_where_it_has_24_hours():
    assert read_hours("2 d", days=True) == 2880
    assert read_hours("1 day 6 h", days=True) == 1800
    with pytest.raises(NotHours, match="no fixed hours"):
        read_hours("2 days")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("3:75", "an hour has 60"),
        ("3 h 75", "an hour has 60"),
        ("1,250", "may be 1.2500 or 1250"),
        ("1/0", "0 below the line"),
    ],
)
def test_what_is_nearly_a_number_of_hours_is_told_what_is_wrong(text, says):
    with pytest.raises(NotHours, match=says):
        read_hours(text)


@given(st.text(max_size=20))
def test_any_text_is_read_or_refused(text):
    try:
        assert read_hours(text) >= 0
    except NotHours as error:
        assert text in str(error)


def test_negative_hours_are_read_only_where_they_make_sense():
    assert read_hours("-2 h", negative=True) == -120
    with pytest.raises(NotHours, match="less than no hours"):
        read_hours("-2")


def test_more_hours_than_anyone_works_are_refused():
    with pytest.raises(NotHours, match="more than 100 000 hours"):
        read_hours("9" * 40)


@given(st.integers(0, 100_000))
def test_hours_shown_are_read_back_the_same(minutes):
    assert read_hours(show_hours(minutes)) == minutes
