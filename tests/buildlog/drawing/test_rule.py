from __future__ import annotations

import datetime as dt
from itertools import pairwise

import pytest

from buildlog.drawing.lettering import width
from buildlog.drawing.rule import named_months
from buildlog.drawing.scale import DateScale


@pytest.mark.parametrize("weeks", [4, 13, 52, 104, 300, 1000])
def test_names_of_months_never_run_into_each_other(weeks):
    first = dt.date(2026, 10, 27)
    scale = DateScale(first, first + dt.timedelta(weeks=weeks), 0, 880)
    named = named_months(scale)
    assert named
    for (_, x, words), (_, after, _) in pairwise(named):
        assert x + 5 + width(words, 14) < after + 5
    _, x, words = named[-1]
    assert x + 5 + width(words, 14) <= 882


def test_the_first_name_and_each_january_carry_the_year():
    scale = DateScale(dt.date(2026, 11, 1), dt.date(2027, 4, 1), 0, 880)
    assert [words for _, _, words in named_months(scale)] == [
        "Nov 2026", "Dec", "Jan 2027", "Feb", "Mar",
    ]  # fmt: skip
