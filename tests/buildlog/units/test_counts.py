"""Counts of parts."""

from __future__ import annotations

import pytest

from buildlog.units import Count, NegativeValue, NotReadable, TooLarge, parse_count


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("6", Count(6)),
        ("6 off", Count(6)),
        ("6x", Count(6)),
        ("4.0", Count(4)),  # a spreadsheet's whole number
        ("one", Count(1)),
        ("2 (p+s)", Count(2, True)),
        ("2 p/s", Count(2, True)),
        ("1 pair", Count(2, True)),
        ("3 pairs", Count(6, True)),
        ("pair", Count(2, True)),
        ("0", Count(0)),
    ],
)
def test_it_reads_counts(text, count):
    assert parse_count(text) == count


@pytest.mark.parametrize(
    ("text", "error", "says"),
    [
        ("-2", NegativeValue, "cannot be negative"),
        ("2.5", NotReadable, "not a whole number"),
        ("some", NotReadable, "not a whole number"),
        ("", NotReadable, "Nothing typed"),
        ("1 (p+s)", NotReadable, "write 2 for a pair"),
        ("99999999", TooLarge, "a million"),
    ],
)
def test_it_refuses_what_is_no_count(text, error, says):
    with pytest.raises(error, match=says):
        parse_count(text)
