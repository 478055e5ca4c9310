"""The order of work: kept, near the last one, offered when better, and true to what there is."""

from __future__ import annotations

import datetime as dt

import pytest

from tasks import order as orders
from tasks.models import (
    Answer,
    AnswerKind,
    Build,
    HelpDay,
    Link,
    ShopHours,
    Stage,
    Task,
    TaskThing,
    Thing,
    WorkLimit,
)
from tasks.network.hands import check_plan, plan_hands
from tasks.order_values import inputs_of, problem_of
from tasks.plan import plan_of

pytestmark = pytest.mark.django_db
#: A Monday, eight in the morning.
NOW = dt.datetime(2026, 3, 2, 8, tzinfo=dt.UTC)


@pytest.fixture
def build() -> Build:
    build = Build.objects.create(name="Test", slug="test")
    for weekday in range(7):
        ShopHours.objects.create(build=build, weekday=weekday, start_minute=540, end_minute=1020)
    return build


@pytest.fixture
def stage(build) -> Stage:
    return Stage.objects.create(build=build, name="Frames")


def task(stage: Stage, code: str, hours: int = 4, **more) -> Task:
    minutes = hours * 60
    return Task.objects.create(
        build=stage.build, stage=stage, code=code, name=code, low_minutes=minutes,
        likely_minutes=minutes, high_minutes=minutes, **more,
    )  # fmt: skip


def order(build: Build) -> orders.Order:
    build.refresh_from_db()
    found = orders.order_of(plan_of(build, NOW))
    assert found is not None
    return found


def test_one_pair_of_hands_does_one_thing_at_a_time(build, stage):
    one, two = task(stage, "A"), task(stage, "B")
    plan = plan_of(build, NOW)
    assert plan.launch == NOW.replace(hour=13)
    found = order(build)
    assert found.launch == NOW.replace(hour=17)
    assert {found.places[one.pk].start, found.places[two.pk].start} == {
        NOW.replace(hour=9),
        NOW.replace(hour=13),
    }
    assert found.whole
    assert len(found.order) == 2


def test_more_hands_at_home_are_used(build, stage):
    task(stage, "A"), task(stage, "B")
    assert order(build).launch == NOW.replace(hour=17)
    build.hands = 2
    build.save()
    assert order(build).launch == NOW.replace(hour=13)


def test_what_needs_two_waits_for_the_helper(build, stage):
    lift = task(stage, "L", hours=8, hands=2)
    HelpDay.objects.create(build=build, who="A friend", weekday=5)
    found = order(build)
    assert found.places[lift.pk].start == dt.datetime(2026, 3, 7, 9, tzinfo=dt.UTC)
    assert found.troubles == ()


def test_a_helper_for_one_day_comes_on_that_day_only(build, stage):
    lifts = [task(stage, code, hours=16, hands=2) for code in "AB"]
    HelpDay.objects.create(build=build, who="A friend", first=dt.date(2026, 3, 4))
    found = order(build)
    starts = [found.places[lift.pk].start for lift in lifts]
    assert dt.datetime(2026, 3, 4, 9, tzinfo=dt.UTC) in starts
    # One eight-hour day of help does for one of the two.
    assert [rule for _, rule in found.troubles] == ["hours"]


def test_things_are_held_while_worked_on(build, stage):
    clamps = Thing.objects.create(build=build, name="clamps", count=10)
    build.hands = 2
    build.save()
    for code in "AB":
        TaskThing.objects.create(build=build, task=task(stage, code), thing=clamps, count=6)
    assert order(build).launch == NOW.replace(hour=17)
    clamps.count = 12
    clamps.save()
    assert order(build).launch == NOW.replace(hour=13)


def test_a_limit_holds_unless_lifted(build, stage):
    tent = Thing.objects.create(build=build, name="heated tent")
    warm = WorkLimit.objects.create(
        build=build, name="warm", first_month=5, first_day=1, last_month=9, last_day=30,
        lifted_by=tent,
    )  # fmt: skip
    coat = task(stage, "C", limit=warm)
    assert order(build).places[coat.pk].start == dt.datetime(2026, 5, 1, 9, tzinfo=dt.UTC)
    TaskThing.objects.create(build=build, task=coat, thing=tent)
    assert order(build).places[coat.pk].start == NOW.replace(hour=9)


def test_no_noise_after_four(build, stage):
    quiet = WorkLimit.objects.create(build=build, name="no noise", end_minute=16 * 60)
    saw = task(stage, "S", hours=8, limit=quiet)
    assert order(build).places[saw.pk].finish == NOW.replace(day=3, hour=10)


def test_a_pin_and_a_turn_are_kept(build, stage):
    one, two, three = (task(stage, code, hours=2) for code in "ABC")
    two.pinned_at = NOW.replace(day=5, hour=10)
    two.save()
    three.turn, one.turn = 1, 2
    three.save(), one.save()
    found = order(build)
    assert found.places[two.pk].start == two.pinned_at
    assert found.places[three.pk].start < found.places[one.pk].start


def test_the_order_is_kept_until_something_changes(build, stage, django_assert_num_queries):
    first = task(stage, "A")
    made = order(build)
    with django_assert_num_queries(1):
        assert orders.kept_order(build).figures == made.figures
    plan = plan_of(build, NOW)
    with django_assert_num_queries(1):
        again = orders.order_of(plan)
    assert again.figures == made.figures
    first.name = "Another"
    first.save()
    assert order(build).plan_version > made.plan_version


def test_a_better_order_is_put_in_place_once_and_offered_after(build, stage, monkeypatch):
    for code in "ABCDEF":
        task(stage, code)
    plan = plan_of(build, NOW)
    monkeypatch.setattr(orders, "plan_of", lambda _: plan)
    worse = orders._solve
    late = 10_000

    def first_answer_is_late(inputs, **options):
        found = worse(inputs, **options)
        if not options.get("seconds"):
            object.__setattr__(found, "launch", found.launch + late)
            object.__setattr__(found, "proven", False)
        return found

    monkeypatch.setattr(orders, "_solve", first_answer_is_late)
    standing = orders.order_of(plan)
    assert orders.look_for_better(build, seconds=0.05) is None
    improved = orders.kept_order(build)
    assert improved.launch < standing.launch

    row = Answer.objects.get(kind=AnswerKind.ORDER)
    row.figures["launch"] += late
    row.figures["proven"] = False
    row.save()
    offer = orders.look_for_better(build, seconds=0.05)
    assert offer is not None and offer.launch == improved.launch
    assert orders.kept_order(build).launch > offer.launch
    assert orders.take_offer(build)
    assert orders.kept_order(build).launch == offer.launch
    assert not orders.take_offer(build)


def test_a_kept_plan_still_names_what_could_not_be_planned_as_asked(build, stage):
    turning = task(stage, "T2", hands=12)
    again = orders.plan_from(order(build).figures)
    assert [(one.task, one.rule) for one in again.problems] == [(turning.pk, "enough")]


def test_nothing_to_plan_has_no_order(build):
    assert orders.order_of(plan_of(build, NOW)) is None


def test_the_problem_made_of_rows_keeps_its_rules(build, stage):
    a, b, c = task(stage, "A"), task(stage, "B", cure_minutes=1440), task(stage, "C", hours=20)
    Link.objects.create(build=build, before=a, after=b)
    Link.objects.create(build=build, before=b, after=c)
    problem = problem_of(inputs_of(plan_of(build, NOW)))
    assert check_plan(problem, plan_hands(problem)) == []
