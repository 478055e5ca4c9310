from __future__ import annotations

import datetime as dt

import pytest
import time_machine
from django.urls import reverse

from tasks.models import Build, DayOff, ShopHours

WEEK = {f"day_{weekday}": "" for weekday in range(7)}


def kept() -> list[tuple[int, int, int]]:
    return list(ShopHours.objects.values_list("weekday", "start_minute", "end_minute"))


@pytest.fixture
def address(build) -> str:
    return reverse("shop-hours", args=[build.slug])


def test_the_week_is_shown_as_it_is_written(address, by_planner, fields):
    page = by_planner.get(address)
    assert fields(page, "week_form")["day_5"] == "09:00–15:00"
    assert "10 h in a usual week" in page.text


def test_a_week_replaces_the_old_one_and_makes_a_new_plan(build, address, by_planner):
    before = Build.objects.get().plan_version
    sent = WEEK | {"day_1": "18:30-21", "day_5": "14 to 17:30; 9–13"}
    assert by_planner.post(address, sent).status_code == 302
    assert kept() == [(1, 1110, 1260), (5, 540, 780), (5, 840, 1050)]
    assert Build.objects.get().plan_version > before


def test_a_day_may_end_at_midnight(address, by_planner):
    by_planner.post(address, WEEK | {"day_4": "20–24", "day_5": "0–2"})
    assert kept() == [(4, 1200, 1440), (5, 0, 120)]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("evening", "“evening” is no stretch of hours; write 9–13 or 18:00–21:30."),
        ("9–13, 12–15", "Two of these stretches overlap."),
        ("20–2", "“20–2” ends before it starts."),
        ("9–25", "“9–25” is past the end of the day, 24:00."),
        ("9:75–12", "“9:75–12” is past the end of the day"),
        ("9–9", "ends before it starts"),
    ],
)
def test_hours_that_cannot_be_are_refused_and_kept_as_typed(address, by_planner, typed, said):
    before = kept()
    answer = by_planner.post(address, WEEK | {"day_2": typed, "day_3": "8–12"})
    assert answer.status_code == 422
    assert said in answer.text
    assert f'value="{typed}"' in answer.text and 'value="8–12"' in answer.text
    assert kept() == before


def test_a_stale_week_is_refused_with_what_is_there_now(address, by_planner, fields):
    sent = fields(by_planner.get(address), "week_form")
    assert by_planner.post(address, sent | {"day_6": "8–12"}).status_code == 302
    refused = by_planner.post(address, sent | {"day_5": "7–9"})
    assert refused.status_code == 409
    assert "There now: Saturday 09:00–15:00; Sunday 08:00–12:00" in refused.text
    assert by_planner.post(address, fields(refused, "week_form")).status_code == 302
    assert (5, 420, 540) in kept()


@time_machine.travel(dt.datetime(2026, 11, 14, tzinfo=dt.UTC))
def test_days_off_are_added_once_and_taken_back(build, address, by_planner):
    add = reverse("add-day-off", args=[build.slug])
    sent = {"first": "2026-12-24", "last": "2027-01-03", "reason": "away"}
    for _ in range(2):  # a double click
        assert by_planner.post(add, sent).status_code == 302
    off = DayOff.objects.get()
    assert "Thu 24 Dec 2026 to Sun 3 Jan 2027" in by_planner.get(address).text
    remove = reverse("remove-day-off", args=[build.slug, off.pk])
    for _ in range(2):
        assert by_planner.post(remove).status_code == 302
    assert not DayOff.objects.exists()


def test_a_single_day_off_needs_no_last_day(build, by_planner):
    by_planner.post(reverse("add-day-off", args=[build.slug]), {"first": "2026-12-24"})
    assert DayOff.objects.get().last == dt.date(2026, 12, 24)


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        ("2026-12-24", "2026-12-23", "The last day off must not be before the first."),
        ("2026-12-24", "2030-01-01", "That is more than two years in one go."),
        ("soon", "", "Enter a valid date."),
    ],
)
def test_days_off_that_cannot_be_are_refused(build, by_planner, first, last, said):
    sent = {"first": first, "last": last, "reason": "cold"}
    answer = by_planner.post(reverse("add-day-off", args=[build.slug]), sent)
    assert answer.status_code == 422
    assert said in answer.text and 'value="cold"' in answer.text
    assert not DayOff.objects.exists()


@pytest.mark.parametrize("count", [3, 30])
def test_the_page_asks_no_more_of_more_days_off(
    build, address, by_planner, count, django_assert_num_queries
):
    for number in range(count):
        day = dt.date(2090, 1, 1) + dt.timedelta(days=number)
        DayOff.objects.create(build=build, first=day, last=day)
    with django_assert_num_queries(7):
        by_planner.get(address)
