from __future__ import annotations

import datetime as dt

import pytest

from buildlog.desk.shed_hours import shed_hours
from tasks.models import DayOff, ShopHours
from tasks.plan import plan_of


def hours_at(build, *when: int):
    return shed_hours(plan_of(build, dt.datetime(*when, tzinfo=build.zone)))


def test_friday_night_speaks_of_the_weekend(build):
    hours = hours_at(build, 2026, 11, 13, 19)
    assert hours.title == "This weekend"
    assert hours.words == "Ten hours in the shed: Saturday 6, Sunday 4."


def test_hours_already_gone_are_not_promised(build):
    assert (
        hours_at(build, 2026, 11, 14, 12, 30).words
        == "6 h 30 in the shed: Saturday 2 h 30, Sunday 4."
    )


def test_the_week_is_named_where_there_are_weekdays_in_it(build):
    ShopHours.objects.create(build=build, weekday=2, start_minute=19 * 60, end_minute=21 * 60)
    hours = hours_at(build, 2026, 11, 10, 8)
    assert hours.title == "This week"
    assert hours.words == "Twelve hours in the shed: Wednesday 2, Saturday 6, Sunday 4."


def test_on_sunday_night_the_coming_week_is_meant(build):
    hours = hours_at(build, 2026, 11, 15, 20)
    assert hours.title == "The coming week"
    assert hours.minutes == 600


def test_days_off_leave_no_hours(build):
    DayOff.objects.create(build=build, first=dt.date(2026, 11, 13), last=dt.date(2026, 11, 30))
    assert hours_at(build, 2026, 11, 13, 19).words == "No hours in the shed in the coming week."


@pytest.mark.parametrize("hour", [0, 9, 15])
def test_one_hour_is_one_hour(build, hour):
    ShopHours.objects.all().delete()
    ShopHours.objects.create(build=build, weekday=6, start_minute=1200, end_minute=1260)
    assert hours_at(build, 2026, 11, 14, hour).words == "One hour in the shed: Sunday 1."
