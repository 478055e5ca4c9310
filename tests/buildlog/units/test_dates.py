"""Dates in any order that can be known; asked about where it cannot."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.units import (
    AmbiguousDate,
    NoSuchDate,
    NotReadable,
    UnitError,
    detect_date_order,
    parse_date,
)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-03-14", date(2026, 3, 14)),
        ("2026/3/14", date(2026, 3, 14)),
        ("20260314", date(2026, 3, 14)),
        ("2026-03-14 00:00:00", date(2026, 3, 14)),
        ("2026-03-14T09:30:00+01:00", date(2026, 3, 14)),
        ("2.3.2026", date(2026, 3, 2)),  # full stops: day first
        ("02. 03. 2026", date(2026, 3, 2)),
        ("2.3.26", date(2026, 3, 2)),
        ("14/03/2026", date(2026, 3, 14)),  # only one order is possible
        ("03/14/2026", date(2026, 3, 14)),
        ("05/05/2026", date(2026, 5, 5)),  # both orders say the same
        ("14 March 2026", date(2026, 3, 14)),
        ("March 14, 2026", date(2026, 3, 14)),
        ("14th of March 2026", date(2026, 3, 14)),
        ("14-Mar-26", date(2026, 3, 14)),
        ("Sat, 14 Mar 2026", date(2026, 3, 14)),
        ("Sept 1 2026", date(2026, 9, 1)),
        ("29/02/2028", date(2028, 2, 29)),
    ],
)
def test_it_reads_dates(text, day):
    assert parse_date(text) == day


def test_an_open_date_is_asked_about_with_both_readings():
    with pytest.raises(AmbiguousDate, match="say whether the day or the month") as raised:
        parse_date("03/09/2026")
    assert raised.value.readings == (date(2026, 9, 3), date(2026, 3, 9))


def test_the_order_settles_it():
    assert parse_date("03/09/2026", "dmy") == date(2026, 9, 3)
    assert parse_date("03/09/2026", "mdy") == date(2026, 3, 9)


@pytest.mark.parametrize(
    ("text", "order", "error", "says"),
    [
        ("31/02/2026", None, NoSuchDate, "February 2026 has 28 days"),
        ("2026-02-30", None, NoSuchDate, "February 2026 has 28 days"),
        ("31.4.2026", None, NoSuchDate, "April 2026 has 30 days"),
        ("0.4.2026", None, NoSuchDate, "no day 0"),
        ("14/13/2026", None, NoSuchDate, "no month"),
        ("14/03/2026", "mdy", NoSuchDate, "no month 14"),  # not turned round
        ("0000-01-01", None, NoSuchDate, "no year 0"),
        ("3 March", None, NotReadable, "no year"),
        ("3 Blob 2026", None, NotReadable, "no month that is known"),
        ("yesterday", None, NotReadable, "is not a date"),
        ("", None, NotReadable, "Nothing typed"),
        ("45000", None, NotReadable, "is not a date"),  # a spreadsheet's serial number
    ],
)
def test_it_refuses_what_is_no_date(text, order, error, says):
    with pytest.raises(error, match=says):
        parse_date(text, order)


@pytest.mark.parametrize(
    ("column", "order"),
    [
        (["03/09/2026", "14/03/2026"], "dmy"),
        (["03/09/2026", "03/14/2026"], "mdy"),
        (["03/09/2026"], None),
        (["14/03/2026", "03/14/2026"], None),  # they disagree
        (["2.3.2026", "2026-03-14"], None),  # these tell nothing of slashes
        (["31/02/2026"], None),  # no date, no witness
    ],
)
def test_a_column_tells_its_order(column, order):
    assert detect_date_order(column) == order


@given(st.dates(date(2000, 1, 1), date(2099, 12, 31)), st.sampled_from(["dmy", "mdy"]))
def test_written_in_a_known_order_it_reads_back(day, order):
    form = "%d/%m/%Y" if order == "dmy" else "%m/%d/%Y"
    assert parse_date(day.strftime(form), order) == day
    assert parse_date(day.isoformat()) == day
    assert parse_date(f"{day.day}.{day.month}.{day.year}") == day


@given(st.text(max_size=24))
def test_any_text_is_read_or_refused(text):
    try:
        parse_date(text)
    except UnitError as error:
        assert str(error)
