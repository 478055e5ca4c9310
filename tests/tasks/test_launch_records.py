"""The launch of each day: kept once, packed whole, thinned, and put down to its causes."""

from __future__ import annotations

import datetime as dt

import pytest

from tasks.cause_words import causes_of
from tasks.launch_records import (
    explain_week,
    floats_of,
    record_about,
    thin_records,
    waiting_weeks,
    weeks_of,
)
from tasks.models import (
    DayOff,
    HelpDay,
    LaunchRecord,
    Link,
    ShopHours,
    Task,
    TaskThing,
    Thing,
    WorkLimit,
)
from tasks.network.causes import inputs_from
from tasks.order import order_of, record_launch
from tasks.order_values import inputs_of
from tasks.packing import pack, unpack
from tasks.plan import plan_of

pytestmark = pytest.mark.django_db
#: A Friday noon in Paris; the shop opens on Saturday.
NOW = dt.datetime(2026, 3, 6, 11, tzinfo=dt.UTC)
WEEK = dt.timedelta(days=7)


def reckon(build, now=NOW):
    build.refresh_from_db()
    return order_of(plan_of(build, now))


def explain_all(build):
    for pair in waiting_weeks(build):
        explain_week(*pair)


@pytest.fixture
def everything(build, make_task):
    """A build with one of each thing that an order is made of."""
    tent = Thing.objects.create(build=build, name="tent")
    warm = WorkLimit.objects.create(
        build=build, name="warm", first_month=4, first_day=1, last_month=9, last_day=30,
        lifted_by=tent,
    )  # fmt: skip
    one = make_task("1", 4, cure_minutes=1440, started_at=NOW - WEEK)
    two = make_task("2", 3, hands=2, unbroken=True, not_before=dt.date(2026, 3, 20))
    three = make_task("3", 2, limit=warm, turn=1)
    make_task("4", 2, pinned_at=NOW + dt.timedelta(days=30, hours=22), finished_at=None)
    TaskThing.objects.create(build=build, task=three, thing=tent)
    Link.objects.create(build=build, before=one, after=two, lag_minutes=90, lag_in="elapsed")
    HelpDay.objects.create(build=build, who="A friend", weekday=5)
    HelpDay.objects.create(build=build, who="All", hands=3, first=dt.date(2026, 5, 2))
    DayOff.objects.create(
        build=build, first=dt.date(2026, 4, 1), last=dt.date(2026, 4, 3), reason="away"
    )
    return build


def test_what_a_launch_was_made_of_is_kept_whole(everything):
    order = reckon(everything)
    plan = plan_of(everything, NOW)
    record = LaunchRecord.objects.get()
    kept = unpack(record.packed)
    assert (record.day, record.launch) == (dt.date(2026, 3, 6), order.launch)
    assert kept.record.launch * 60 == order.launch.timestamp()
    assert unpack(pack(kept)) == kept
    told, read = inputs_from(kept.record.facts), inputs_of(plan)
    for name in ("tasks", "now", "zone", "hands", "needs", "things", "limits"):
        assert getattr(told, name) == getattr(read, name), name
    assert list(told.links) == list(read.links)
    assert list(told.help) == list(read.help)
    assert list(told.days_off) == list(read.days_off)
    assert kept.tasks == {task.pk: str(task) for task in Task.objects.all()}
    assert floats_of(record).keys() == plan.tasks.keys()


def test_a_record_is_small(build, make_task):
    for number in range(200):
        make_task(f"T{number}", 2, name=f"Fit piece {number} and fair it to its neighbours")
    reckon(build)
    assert len(LaunchRecord.objects.get().packed) < 200 * 50


def test_one_record_a_day_and_the_worker_brings_it_up_to_date(build, make_task):
    make_task("1", 6)
    reckon(build)
    first = LaunchRecord.objects.get()
    make_task("2", 6)
    later = reckon(build, NOW + dt.timedelta(hours=1))
    assert LaunchRecord.objects.get().launch == first.launch
    record_launch(build)
    assert LaunchRecord.objects.get().launch == later.launch != first.launch
    before = LaunchRecord.objects.get().made_at
    record_launch(build)
    assert LaunchRecord.objects.get().made_at == before
    reckon(build, NOW + dt.timedelta(days=1))
    assert LaunchRecord.objects.count() == 2


def test_no_record_without_a_launch(build, make_task):
    ShopHours.objects.all().delete()
    build.touch_plan()
    make_task("1")
    reckon(build)
    record_launch(build)
    assert not LaunchRecord.objects.exists()


def test_the_day_is_the_builds_own(build, make_task):
    make_task("1")
    reckon(build, dt.datetime(2026, 3, 6, 23, 30, tzinfo=dt.UTC))
    assert LaunchRecord.objects.get().day == dt.date(2026, 3, 7)


def test_after_a_year_one_a_week_is_left(build):
    monday = dt.date(2025, 3, 3)
    for ago in (0, 1, 2, 7, 400, 401):
        day = monday + dt.timedelta(days=ago)
        LaunchRecord.objects.create(build=build, day=day, made_at=NOW, launch=NOW, packed=b"")
    assert thin_records(build, monday + dt.timedelta(days=400)) == 2
    assert [row.day - monday for row in LaunchRecord.objects.all()] == [
        dt.timedelta(days=days) for days in (2, 7, 400, 401)
    ]
    assert thin_records(build, monday + dt.timedelta(days=400)) == 0


def test_weeks_are_told_by_their_last_record_with_causes(
    build, make_task, django_assert_num_queries
):
    first = make_task("1", 6)
    reckon(build)
    reckon(build, NOW + dt.timedelta(days=1))
    first.likely_minutes = first.high_minutes = 12 * 60
    first.save()
    make_task("2", 4)
    reckon(build, NOW + WEEK)
    assert [week.waits for week in weeks_of(build)] == [False, True]
    explain_all(build)
    with django_assert_num_queries(1):
        one, two = weeks_of(build)
    assert (one.day, one.days, one.causes) == (dt.date(2026, 3, 7), 0, None)
    assert (two.since, two.day) == (one.day, dt.date(2026, 3, 13))
    causes = causes_of(two.causes)
    assert sum(cause.days for cause in causes) == two.days
    assert sum(cause.minutes for cause in causes) * 60 == (two.launch - one.launch).total_seconds()
    words = {cause.groups: cause.words for cause in causes}
    assert words[("hours",)] == "1 Task 1 takes 6 h more than guessed"
    assert words[("tasks",)] == "added 2 Task 2, 4 h"
    assert words[("time",)] == "no hours worked, where the plan had 6 h"
    assert waiting_weeks(build) == []


def test_causes_are_worked_out_anew_for_a_day_that_was_recorded_anew(build, make_task):
    make_task("1", 6)
    reckon(build)
    reckon(build, NOW + WEEK)
    explain_all(build)
    make_task("2", 6)
    reckon(build, NOW + WEEK)
    record_launch(build)
    assert len(waiting_weeks(build)) == 1
    explain_all(build)
    assert {cause.groups for cause in causes_of(weeks_of(build)[-1].causes)} == {
        ("time",),
        ("tasks",),
    }


def test_names_stay_as_they_were_when_a_task_goes(build, make_task):
    make_task("1", 6)
    gone = make_task("2", 6, name="Paint her red")
    reckon(build)
    pk = gone.pk
    gone.delete()
    reckon(build, NOW + WEEK)
    explain_all(build)
    (cause,) = [c for c in causes_of(weeks_of(build)[-1].causes) if c.groups == ("tasks",)]
    assert cause.words == "took off 2 Paint her red, 6 h"
    assert cause.tasks == [(pk, "2 Paint her red")]


def test_the_record_of_about_a_day(build):
    assert record_about(build, dt.date(2026, 3, 1)) is None
    for day in (3, 5, 9):
        LaunchRecord.objects.create(
            build=build, day=dt.date(2026, 3, day), made_at=NOW, launch=NOW, packed=b""
        )
    assert record_about(build, dt.date(2026, 3, 6)).day.day == 5
    assert record_about(build, dt.date(2026, 2, 1)).day.day == 3
