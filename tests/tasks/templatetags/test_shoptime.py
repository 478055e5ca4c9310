from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import time_machine
from django.utils import timezone

from tasks.templatetags import shoptime

PARIS = ZoneInfo("Europe/Paris")


def test_hours_say_nothing_for_nothing():
    assert shoptime.hours(None) == "–"
    assert shoptime.hours(210) == "3 h 30"


def test_a_day_is_shown_by_the_build_s_clock():
    late = dt.datetime(2026, 11, 13, 23, 30, tzinfo=dt.UTC)
    with timezone.override(PARIS):
        assert shoptime.day(late) == "Sat 14 Nov 2026"
    assert shoptime.day(late.astimezone(PARIS)) == "Sat 14 Nov 2026"
    assert shoptime.day(dt.date(2026, 11, 14)) == "Sat 14 Nov 2026"


@time_machine.travel(dt.datetime(2026, 11, 1, tzinfo=dt.UTC))
def test_a_moment_of_another_year_shows_its_year():
    nine = dt.datetime(2026, 11, 14, 9, tzinfo=PARIS)
    assert shoptime.moment(nine) == "Sat 14 Nov 09:00"
    assert shoptime.moment(nine.replace(year=2027)) == "Sun 14 Nov 2027 09:00"
    assert shoptime.moment(None) == "–"


def test_a_minute_of_the_day_reads_as_a_clock():
    assert shoptime.clock(570) == "09:30"
    assert shoptime.clock(1440) == "24:00"
