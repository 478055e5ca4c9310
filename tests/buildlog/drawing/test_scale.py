from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest

from buildlog.drawing.scale import DateScale, Scale, months, weeks

NOVEMBER = DateScale(dt.date(2026, 11, 1), dt.date(2026, 12, 1), 100, 400)


def test_ends_lie_where_they_were_put():
    assert Scale(0, 10, 100, 200)(0) == 100
    assert Scale(0, 10, 100, 200)(10) == 200
    assert NOVEMBER.day(NOVEMBER.first) == 100
    assert NOVEMBER.day(NOVEMBER.last) == 400
    assert NOVEMBER.per_day == 10


def test_a_scale_that_does_not_rise_is_refused():
    with pytest.raises(ValueError, match="must rise"):
        Scale(3, 3, 0, 1)
    with pytest.raises(ValueError, match="must rise"):
        DateScale(dt.date(2026, 1, 2), dt.date(2026, 1, 2), 0, 1)


def test_the_day_the_clocks_go_back_is_as_wide_as_any():
    paris = ZoneInfo("Europe/Paris")
    scale = DateScale(dt.date(2026, 10, 24), dt.date(2026, 10, 27), 0, 72)
    noon = dt.datetime(2026, 10, 25, 12, tzinfo=paris)
    assert scale(noon) == 36
    assert scale(dt.datetime(2026, 10, 26, 0, tzinfo=paris)) == 48


def test_moments_outside_are_clamped_only_when_asked():
    before = dt.datetime(2026, 10, 30)
    assert NOVEMBER(before) == 80
    assert NOVEMBER.clamp(NOVEMBER(before)) == 100


def test_months_and_weeks_begin_on_firsts_and_mondays():
    assert list(months(dt.date(2026, 11, 1), dt.date(2027, 1, 1))) == [
        dt.date(2026, 11, 1),
        dt.date(2026, 12, 1),
    ]
    found = list(weeks(dt.date(2026, 11, 3), dt.date(2026, 11, 24)))
    assert found == [dt.date(2026, 11, 9), dt.date(2026, 11, 16), dt.date(2026, 11, 23)]
