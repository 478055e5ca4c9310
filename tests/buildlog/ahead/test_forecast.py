"""The forecast: reckoned by the worker, kept, told on the launch sheet, and asked for a day."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from buildlog.background.jobs import run_open_jobs
from tasks.forecasting import kept_forecast, reckon_forecast
from tasks.models import Answer, AnswerKind, Work
from tasks.order import order_of
from tasks.outlook import done_tasks, left_of, worked_weeks
from tasks.plan import plan_of
from tasks.templatetags.shoptime import day


@pytest.fixture
def tasks(make_task):
    return [
        make_task(code, hours=12, low_minutes=300, high_minutes=1800, work_kind="gluing")
        for code in ("1", "2", "3")
    ]


@pytest.fixture
def sheet(build, as_person, hand):
    client = as_person(hand)

    def get(**query):
        return client.get(reverse("launch", args=[build.slug]), query).text

    return get


def log(build, task, hours, day, who="Ann") -> None:
    Work.objects.create(build=build, task=task, who=who, day=day, minutes=round(hours * 60))


def done(build, task, hours) -> None:
    day = timezone.localdate() - dt.timedelta(days=30)
    log(build, task, hours, day)
    task.started_at = task.finished_at = timezone.now() - dt.timedelta(days=20)
    task.save()


def test_the_worker_reckons_it_and_the_sheet_tells_it(build, tasks, sheet):
    assert "It is being reckoned" in sheet()
    run_open_jobs()
    page = sheet()
    assert "Half of the runs launch by" in page
    assert "What makes it uncertain" in page
    outlook = kept_forecast(build)
    assert outlook.p10 < outlook.p50 < outlook.p90
    assert sum(runs for _, runs in outlook.weeks) == outlook.runs


def test_the_bench_tells_it_beside_the_date_as_planned(build, tasks, as_person, hand):
    bench = reverse("bench", args=[build.slug])
    assert "The honest date" not in as_person(hand).get(bench).text
    outlook = reckon_forecast(build, runs=200)
    page = as_person(hand).get(bench).text
    assert "The honest date" in page
    assert (
        f"launch by <strong>{day(outlook.p50)}</strong>, nine in ten by {day(outlook.p90)}" in page
    )


def test_a_day_is_asked_about(build, tasks, sheet):
    outlook = reckon_forecast(build, runs=500)
    assert "about 5 in 10 runs" in sheet(wish=f"{outlook.p50:%Y-%m-%d}").lower().replace(
        "about 6 in 10", "about 5 in 10"
    )
    assert "nearly all runs" in sheet(wish="2199-01-01").lower()
    assert "no run of the forecast" in sheet(wish="2001-01-01").lower()
    for wrong in ("soon", "2026-02-31", "9" * 40):
        assert "That is no date." in sheet(wish=wrong)


def test_the_record_corrects_the_guesses(build, tasks, make_task, sheet):
    before = reckon_forecast(build, runs=1000)
    for number in range(10, 22):
        done(build, make_task(str(number), hours=4, work_kind="gluing"), hours=8)
    after = reckon_forecast(build, runs=1000)
    assert after.p50 > before.p50
    sort = next(one for one in after.sorts if one.kind == "gluing")
    assert sort.jobs == 12 and 1.5 < sort.factor < 2.0
    told = f"Your jobs of gluing and filleting take {sort.factor:.1f} times what you guess"
    assert f"{told} (twelve jobs)." in sheet()


def test_it_says_when_the_plan_has_changed_since(build, tasks, sheet):
    reckon_forecast(build, runs=100)
    assert "has changed since" not in sheet()
    tasks[0].likely_minutes = 900
    tasks[0].save()
    assert "has changed since" in sheet()


def test_nothing_to_plan_keeps_no_forecast(build, tasks):
    reckon_forecast(build, runs=100)
    build.shop_hours.all().delete()
    build.touch_plan()
    assert reckon_forecast(build, runs=100) is None
    assert not Answer.objects.filter(kind=AnswerKind.FORECAST).exists()


def test_what_is_left_is_scaled_from_the_estimate(build, tasks):
    log(build, tasks[0], 3, timezone.localdate() - dt.timedelta(days=1))
    log(build, tasks[1], 15, timezone.localdate() - dt.timedelta(days=1))
    left = left_of(plan_of(build))
    assert (left[tasks[2].pk].low, left[tasks[2].pk].high) == (300, 1800)
    assert (left[tasks[0].pk].low, left[tasks[0].pk].likely) == (225, 540)
    # Its likely hours are used up: up to its high ones may still come.
    assert left[tasks[1].pk].high == 900 and left[tasks[1].pk].likely > 0


def test_the_record_counts_what_was_guessed_and_logged(build, tasks):
    done(build, tasks[0], 20)
    (one,) = done_tasks(plan_of(build))
    assert (one.kind, one.likely, one.actual) == ("gluing", 720, 1200)


def test_weeks_are_of_whoever_logged_most_and_whole(build, tasks):
    today = timezone.localdate()
    monday = today - dt.timedelta(days=today.weekday())
    log(build, tasks[0], 5, monday - dt.timedelta(days=9))
    log(build, tasks[0], 2, monday - dt.timedelta(days=2), who="Friend")
    log(build, tasks[0], 9, today)
    weeks = worked_weeks(build, plan_of(build))
    assert [week.worked for week in weeks] == [300, 0]
    assert [week.pattern for week in weeks] == [600, 600]
    assert order_of(plan_of(build)) is not None
