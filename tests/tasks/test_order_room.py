from __future__ import annotations

import datetime as dt

import pytest
import time_machine

from tasks.models import HelpDay
from tasks.order import kept_order, order_of
from tasks.order_room import hands_levels, is_current, room_in, there_between
from tasks.plan import plan_of
from tasks.plan_figures import minute_of

FRIDAY = dt.datetime(2026, 11, 13, 18, 0, tzinfo=dt.UTC)


@pytest.fixture(autouse=True)
def friday():
    with time_machine.travel(FRIDAY, tick=False) as traveller:
        yield traveller


def edges(plan, *days):
    return [minute_of(dt.datetime(2026, 11, day, tzinfo=plan.zone)) for day in days]


def test_hands_are_counted_in_the_shop_hours_only(build, make_task):
    make_task("1")
    HelpDay.objects.create(build=build, who="A friend", weekday=5, start_minute=0, end_minute=720)
    plan = plan_of(build)
    levels = hands_levels(plan, plan.moment(edges(plan, 30)[0]))
    # Saturday nine to three with a friend till noon, Sunday ten to two alone.
    assert there_between(levels, plan, edges(plan, 14, 15, 16)) == [9 * 60, 4 * 60]


def test_before_the_plan_begins_nobody_is_counted(build, make_task):
    make_task("1")
    plan = plan_of(build)
    levels = hands_levels(plan, plan.now + dt.timedelta(days=20))
    assert there_between(levels, plan, edges(plan, 1, 9, 16)) == [0, 10 * 60]


def test_more_help_is_seen_at_once(build, make_task):
    make_task("1")
    plan = plan_of(build)
    last = plan.now + dt.timedelta(days=20)
    before = there_between(hands_levels(plan, last), plan, edges(plan, 14, 15))
    HelpDay.objects.create(build=build, who="A friend", first=dt.date(2026, 11, 14))
    after = there_between(hands_levels(plan, last), plan, edges(plan, 14, 15))
    assert (before, after) == ([360], [720])


def test_one_pair_of_hands_has_no_room_and_two_have(build, make_task):
    make_task("1", 6)
    make_task("2", 2)
    plan = plan_of(build)
    order = order_of(plan)
    assert {room.spare for room in room_in(plan, order).values()} == {0}
    build.hands = 2
    build.save()
    plan = plan_of(build)
    rooms = room_in(plan, order_of(plan))
    assert sorted(room.spare for room in rooms.values()) == [0, 240]


def test_an_order_that_has_aged_keeps_the_room_it_was_shown_with(build, make_task):
    task = make_task("1", 6)
    plan = plan_of(build)
    room_in(plan, order_of(plan))
    make_task("2", 6)
    plan, kept = plan_of(build), kept_order(build)
    assert not is_current(kept, plan)
    assert list(room_in(plan, kept)) == [task.pk]


def test_an_order_is_of_its_day(build, make_task, friday):
    make_task("1", 6)
    plan = plan_of(build)
    order = order_of(plan)
    assert is_current(order, plan)
    friday.shift(dt.timedelta(days=1))
    assert not is_current(order, plan_of(build))
