"""Tasks that are bought in or left out, and days on which the shed is heated, in the plan."""

from __future__ import annotations

import datetime as dt

import pytest

from tasks.models import Doing, HeatedDays, Link, ShopHours, Task, Work, WorkLimit
from tasks.order import order_of
from tasks.plan import State, plan_of

pytestmark = pytest.mark.django_db
#: A Monday, eight in the morning.
NOW = dt.datetime(2026, 3, 2, 8, tzinfo=dt.UTC)


@pytest.fixture
def build(build):
    ShopHours.objects.filter(build=build).delete()
    build.time_zone = "UTC"
    build.save()
    for weekday in range(7):
        ShopHours.objects.create(build=build, weekday=weekday, start_minute=540, end_minute=1020)
    return build


@pytest.fixture
def chain(build, make_task) -> list[Task]:
    """A, B and C of eight hours, one after the other, B with a wait of two days behind it."""
    tasks = [make_task(code, hours=8, hands=2 if code == "B" else 1) for code in "ABC"]
    Link.objects.create(build=build, before=tasks[0], after=tasks[1])
    Link.objects.create(
        build=build, before=tasks[1], after=tasks[2], lag_minutes=2 * 1440, lag_in="elapsed"
    )
    return tasks


def do(task: Task, doing: Doing, days: int = 0) -> None:
    task.doing, task.bought_in_days = doing, days
    task.save()


def plan(build):
    return plan_of(build, NOW)


def test_what_is_left_out_takes_nothing_and_what_it_waited_for_still_holds(build, chain):
    first, out, last = chain
    do(out, Doing.LEFT_OUT)
    found = plan(build)
    assert found.tasks[out.pk].state == State.LEFT_OUT
    assert found.tasks[out.pk].left_minutes == 0
    # The wait behind it goes with it; the eight hours before it do not.
    assert found.tasks[last.pk].early_start == NOW.replace(day=3, hour=9)
    assert found.tasks[last.pk].state == State.WAITING
    assert [before for _, before, _ in found.tasks[last.pk].waits_for] == [first.pk]
    assert found.tasks[first.pk].frees == [last.pk]


def test_after_what_was_left_out_the_next_is_ready(build, chain):
    first, out, last = chain
    do(out, Doing.LEFT_OUT)
    Task.objects.filter(pk=first.pk).update(
        started_at=NOW - dt.timedelta(days=2), finished_at=NOW - dt.timedelta(days=1)
    )
    build.touch_plan()
    assert plan(build).tasks[last.pk].state == State.READY


def test_what_was_begun_after_all_is_not_left_out(build, chain, owner):
    first = chain[0]
    do(first, Doing.LEFT_OUT)
    Work.objects.create(build=build, task=first, who="O", day=NOW.date(), minutes=60)
    found = plan(build).tasks[first.pk]
    assert found.state == State.IN_HAND
    assert found.left_minutes == 7 * 60


def test_what_is_bought_in_takes_days_and_none_of_our_hours_or_hands(build, chain):
    _, bought, last = chain
    do(bought, Doing.BOUGHT_IN, days=5)
    found = plan(build)
    planned = found.tasks[bought.pk]
    assert planned.left_minutes == 0
    # A is done on Monday at five; five days by the calendar, then the link's own two.
    assert planned.cured == NOW.replace(day=7, hour=17)
    assert found.tasks[last.pk].early_start == NOW.replace(day=10, hour=9)
    order = order_of(found)
    assert order.troubles == ()  # nobody of ours need come for its two hands
    assert order.places[last.pk].start == NOW.replace(day=10, hour=9)


def test_days_that_have_passed_since_they_began_count(build, chain):
    first = chain[0]
    do(first, Doing.BOUGHT_IN, days=5)
    Task.objects.filter(pk=first.pk).update(started_at=NOW - dt.timedelta(days=3))
    build.touch_plan()
    assert plan(build).tasks[first.pk].cured == NOW + dt.timedelta(days=2)
    Task.objects.filter(pk=first.pk).update(finished_at=NOW - dt.timedelta(hours=1))
    build.touch_plan()
    assert plan(build).tasks[first.pk].state == State.DONE


def test_heated_days_lift_every_season(build, make_task):
    warm = WorkLimit.objects.create(
        build=build, name="warm", first_month=5, first_day=1, last_month=9, last_day=30
    )
    coat = make_task("C", hours=4, limit=warm)
    assert order_of(plan(build)).places[coat.pk].start == NOW.replace(month=5, day=1, hour=9)
    HeatedDays.objects.create(build=build, first=dt.date(2026, 3, 10), last=dt.date(2026, 3, 12))
    assert order_of(plan(build)).places[coat.pk].start == NOW.replace(day=10, hour=9)
