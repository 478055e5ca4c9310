"""Baselines are kept whole, one is compared with, and slip and eaten float are told against it."""

from __future__ import annotations

import datetime as dt

import pytest
import time_machine
from django.db import IntegrityError

from tasks.baselines import (
    baseline_of,
    compare_with,
    delete_baseline,
    floats_eaten,
    keep_baseline,
    slip_by_stage,
)
from tasks.changes import Refused
from tasks.models import Baseline, Link, ShopHours, Stage
from tasks.order import order_of
from tasks.plan import plan_of

pytestmark = pytest.mark.django_db
NOW = dt.datetime(2026, 3, 6, 11, tzinfo=dt.UTC)


@pytest.fixture(autouse=True)
def a_friday():
    with time_machine.travel(NOW, tick=False) as clock:
        yield clock


@pytest.fixture
def tasks(build, stage, make_task):
    deck = Stage.objects.create(build=build, name="Deck", order=2)
    one, two, three = make_task("1", 6), make_task("2", 4, stage=deck), make_task("3", 2)
    Link.objects.create(build=build, before=one, after=two)
    return one, two, three


def test_a_baseline_is_the_plan_as_it_stands(build, owner, tasks, django_assert_num_queries):
    kept = keep_baseline(build, "First", owner)
    plan = plan_of(build)
    order = order_of(plan)
    assert (kept.launch, kept.launch_endless) == (order.launch, plan.launch)
    assert kept.launch > kept.launch_endless
    assert (kept.by, kept.who, kept.made_at, kept.compared) == (owner, "Olive", NOW, True)
    with django_assert_num_queries(1):
        dates = baseline_of(build).dates
    assert dates == {pk: (one.start, one.finish) for pk, one in order.places.items()}
    told = {one.code: (one.name, one.stage_name, one.likely) for one in kept.tasks}
    assert told["2"] == ("Task 2", "Deck", 240)


def test_nothing_that_is_done_later_changes_it(build, owner, tasks):
    keep_baseline(build, "First", owner)
    rows = Baseline.objects.get().rows
    one, _, three = tasks
    one.name = "Another"
    one.save()
    three.delete()
    Stage.objects.filter(name="Deck").update(name="Top")
    owner.delete()
    kept = Baseline.objects.get()
    assert (kept.rows, kept.who, kept.by) == (rows, "Olive", None)
    assert [str(task) for task in kept.tasks] == ["1 Task 1", "3 Task 3", "2 Task 2"]
    kept.name = "Other"
    with pytest.raises(TypeError):
        kept.save()
    with pytest.raises(TypeError):
        kept.save(update_fields=["rows"])


def test_one_is_compared_with(build, owner, tasks):
    first = keep_baseline(build, "First", owner, compared=False)
    assert baseline_of(build) == first
    second = keep_baseline(build, "Second", owner)
    assert baseline_of(build) == second
    third = keep_baseline(build, "Third", owner, compared=False)
    assert baseline_of(build) == second
    compare_with(first)
    assert baseline_of(build) == first
    delete_baseline(first)
    assert baseline_of(build) in (second, third)
    assert Baseline.objects.filter(compared=True).count() == 1
    Baseline.objects.all().delete()
    assert baseline_of(build) is None
    with pytest.raises(IntegrityError):
        for name in "ab":
            Baseline.objects.create(
                build=build, name=name, made_at=NOW, launch=NOW, launch_endless=NOW, rows=[],
                compared=True,
            )  # fmt: skip


def test_a_name_is_taken_once_but_a_second_click_does_no_harm(
    build, owner, planner, tasks, a_friday
):
    first = keep_baseline(build, "First", owner)
    assert keep_baseline(build, "First", owner) == first
    with pytest.raises(Refused, match="of that name"):
        keep_baseline(build, "First", planner)
    a_friday.shift(dt.timedelta(minutes=2))
    with pytest.raises(Refused, match="of that name"):
        keep_baseline(build, "First", owner)


def test_without_a_launch_there_is_nothing_to_keep(build, owner, make_task):
    with pytest.raises(Refused, match="Add tasks"):
        keep_baseline(build, "First", owner)
    make_task("1")
    ShopHours.objects.all().delete()
    build.touch_plan()
    with pytest.raises(Refused, match="No shop hours"):
        keep_baseline(build, "First", owner)


def test_slip_by_stage(build, owner, tasks, make_task, stage):
    baseline = keep_baseline(build, "First", owner)
    one, two, three = tasks
    one.likely_minutes = one.high_minutes = 20 * 60
    one.save()
    make_task("4", 1)
    three.delete()
    sails = Stage.objects.create(build=build, name="Sails", order=3)
    make_task("5", 1, stage=sails)
    Stage.objects.create(build=build, name="Empty", order=4)
    plan = plan_of(build)
    frames, deck, new = slip_by_stage(baseline, plan, order_of(plan))
    assert (frames.name, frames.added, frames.gone, frames.done) == ("Frames", 1, 1, False)
    assert frames.days > 0 and deck.days > 0
    assert (deck.added, deck.gone) == (0, 0)
    assert (new.name, new.planned, new.days, new.added) == ("Sails", None, None, 1)
    two.delete()
    Stage.objects.get(name="Deck").delete()
    *_, lost = slip_by_stage(baseline, plan_of(build), None)
    assert (lost.name, lost.now, lost.days, lost.gone) == ("Deck", None, None, 1)


def test_what_is_done_has_the_date_it_was_done(build, owner, tasks):
    baseline = keep_baseline(build, "First", owner)
    for task in tasks:
        task.started_at, task.finished_at = NOW - dt.timedelta(hours=3), NOW
        task.save()
    plan = plan_of(build)
    for slip in slip_by_stage(baseline, plan, order_of(plan)):
        assert slip.done
        assert slip.now == NOW


def test_float_eaten_is_what_shrank_most(build, owner, tasks, make_task):
    baseline = keep_baseline(build, "First", owner)
    then = {one.task: one.total_float for one in baseline.tasks}
    three = tasks[2]
    assert floats_eaten(then, plan_of(build)) == []
    assert then[three.pk] == 8 * 60
    three.likely_minutes = three.high_minutes = 5 * 60
    three.save()
    (eaten,) = floats_eaten(then, plan_of(build))
    assert (eaten.task.pk, eaten.then, eaten.left, eaten.eaten) == (three.pk, 480, 300, 180)
    three.likely_minutes = three.high_minutes = 50 * 60
    three.save()
    (eaten,) = floats_eaten(then, plan_of(build))
    assert (eaten.left, eaten.eaten) == (0, 480)
