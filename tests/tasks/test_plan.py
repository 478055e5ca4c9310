"""The bridge: rows to dates and states. The build has Saturday 9–15 and Sunday 10–14 in Paris."""

from __future__ import annotations

import datetime as dt
import itertools
from zoneinfo import ZoneInfo

import pytest
from django.db import transaction

from tasks.models import Build, DayOff, LagIn, Link, LinkKind, ShopHours, Stage, Task, Work
from tasks.plan import State, plan_of
from tasks.plan_figures import NO_HOURS, NO_ROOM

PARIS = ZoneInfo("Europe/Paris")
FRIDAY = dt.datetime(2026, 11, 13, 20, 0, tzinfo=PARIS)


def at(day: int, hour: int, minute: int = 0, month: int = 11) -> dt.datetime:
    return dt.datetime(2026, month, day, hour, minute, tzinfo=PARIS)


def link(before: Task, after: Task, **more) -> Link:
    return Link.objects.create(build=before.build, before=before, after=after, **more)


def finished(task: Task, at: dt.datetime) -> None:
    Task.objects.filter(pk=task.pk).update(started_at=at - dt.timedelta(hours=1), finished_at=at)
    task.build.touch_plan()


def test_a_plan_gives_dates_floats_and_the_path_in_the_build_s_time(build, make_task):
    glue = make_task("1", 4, cure_minutes=24 * 60)
    sand = make_task("2", 2)
    fit = make_task("3", 3)
    first, _ = link(glue, fit), link(sand, fit)

    plan = plan_of(build, FRIDAY)

    assert list(plan.tasks) == [glue.pk, sand.pk, fit.pk]
    of = plan.tasks
    assert (of[glue.pk].early_start, of[glue.pk].early_finish) == (at(14, 9), at(14, 13))
    assert of[glue.pk].cured == at(15, 13)
    assert of[fit.pk].early_start == at(15, 13)
    assert of[fit.pk].early_finish == at(21, 11)
    assert plan.launch == at(21, 11)
    assert plan.critical_path == [glue.pk, fit.pk]
    assert of[fit.pk].driving == first
    assert of[sand.pk].total_float > 0 and not of[sand.pk].critical
    assert of[glue.pk].critical
    assert of[glue.pk].early_start.tzinfo == PARIS
    assert of[glue.pk].task.stage.name == "Frames"
    assert plan.problems == []


def test_likely_hours_are_shared_by_the_hands(build, make_task):
    turning = make_task("1", 12, hands=4)
    planned = plan_of(build, FRIDAY).tasks[turning.pk]
    assert planned.early_finish == at(14, 12)
    assert planned.left_minutes == 12 * 60
    assert planned.left_shop_minutes == 3 * 60


def test_states_follow_from_what_was_logged(build, make_task):
    done, curing, in_hand, ready, waiting = (make_task(n) for n in "12345")
    Task.objects.filter(pk=curing.pk).update(cure_minutes=48 * 60)
    finished(done, at(8, 12))
    finished(curing, at(13, 12))
    Task.objects.filter(pk=in_hand.pk).update(started_at=at(8, 12))
    link(in_hand, waiting)
    build.touch_plan()

    plan = plan_of(build, FRIDAY)

    states = [planned.state for planned in plan.tasks.values()]
    assert states == [State.DONE, State.CURING, State.IN_HAND, State.READY, State.WAITING]
    assert [str(state) for state in states][2:] == ["in hand", "ready", "waiting"]
    assert [planned.pk for planned in plan.in_state(State.READY)] == [ready.pk]


def test_a_task_waits_for_the_cure_and_says_until_when(build, make_task):
    glue, fit = make_task("1", cure_minutes=43 * 60), make_task("2")
    only = link(glue, fit)
    finished(glue, at(12, 12))

    planned = plan_of(build, FRIDAY).tasks[fit.pk]
    assert planned.state == State.WAITING
    assert planned.waits_for == [(only, glue.pk, at(14, 7))]
    assert plan_of(build, at(14, 6, 59)).tasks[fit.pk].state == State.WAITING
    assert plan_of(build, at(14, 7)).tasks[fit.pk].state == State.READY


def test_a_link_may_leave_the_cure_out(build, make_task):
    glue, fit = make_task("1", cure_minutes=48 * 60), make_task("2")
    link(glue, fit, waits_for_cure=False)
    finished(glue, at(13, 12))
    assert plan_of(build, FRIDAY).tasks[fit.pk].state == State.READY


@pytest.mark.parametrize(
    ("lag", "lag_in", "until"),
    [
        (600, LagIn.ELAPSED, at(13, 22)),
        (120, LagIn.SHOP, at(14, 11)),  # two shop hours: none on Friday
    ],
)
def test_a_lag_is_waited_for(build, make_task, lag, lag_in, until):
    before, after = make_task("1"), make_task("2")
    link(before, after, lag_minutes=lag, lag_in=lag_in)
    finished(before, at(13, 12))
    ((_, _, waits_until),) = plan_of(build, FRIDAY).tasks[after.pk].waits_for
    assert waits_until == until
    assert plan_of(build, until).tasks[after.pk].state == State.READY


def test_start_links_are_satisfied_by_a_start(build, make_task):
    before, after = make_task("1"), make_task("2")
    link(before, after, kind=LinkKind.START_START)
    ((_, _, until),) = plan_of(build, FRIDAY).tasks[after.pk].waits_for
    assert until is None
    Task.objects.filter(pk=before.pk).update(started_at=at(8, 12))
    build.touch_plan()
    assert plan_of(build, FRIDAY).tasks[after.pk].state == State.READY


def test_a_link_that_holds_the_finish_stops_no_start_that_is_late_enough(build, make_task):
    before, long, short = make_task("1", 4), make_task("2", 9), make_task("3", 2)
    for after in (long, short):
        link(before, after, kind=LinkKind.FINISH_FINISH)
    plan = plan_of(build, FRIDAY)
    assert plan.tasks[long.pk].state == State.READY
    assert plan.tasks[short.pk].state == State.WAITING


def test_a_task_frees_those_that_wait_for_it_alone(build, make_task):
    one, two, after_one, after_both = (make_task(n) for n in "1234")
    link(one, after_one)
    link(one, after_both)
    link(two, after_both)
    plan = plan_of(build, FRIDAY)
    assert plan.tasks[one.pk].frees == [after_one.pk]
    finished(two, at(8, 12))
    assert plan_of(build, FRIDAY).tasks[one.pk].frees == [after_one.pk, after_both.pk]


def test_not_before_holds_a_start_and_no_link_does(build, make_task):
    held = make_task("1", not_before=dt.date(2026, 11, 20))
    planned = plan_of(build, FRIDAY).tasks[held.pk]
    assert planned.state == State.WAITING
    assert planned.waits_for == []
    assert planned.held_until == at(20, 0)
    assert planned.early_start == at(21, 9)


def test_hours_logged_shorten_what_is_left_never_under_nothing(build, make_task, owner):
    task, over = make_task("1", 5), make_task("2", 1)
    Task.objects.update(started_at=at(7, 9))
    for what, minutes in ((task, 90), (task, 30), (over, 600)):
        Work.objects.create(
            build=build, task=what, person=owner, who="Olive", day=at(7, 9).date(), minutes=minutes
        )
    plan = plan_of(build, FRIDAY)
    assert (plan.tasks[task.pk].logged_minutes, plan.tasks[task.pk].left_minutes) == (120, 180)
    assert plan.tasks[over.pk].left_minutes == 0
    assert plan.tasks[over.pk].state == State.IN_HAND


def test_hours_typed_in_show_that_a_task_was_started(build, make_task):
    task = make_task("1", 5)
    Work.objects.create(build=build, task=task, who="Olive", day=dt.date(2026, 11, 7), minutes=60)
    planned = plan_of(build, FRIDAY).tasks[task.pk]
    assert planned.state == State.IN_HAND
    assert planned.early_start == at(7, 0)


def test_a_running_clock_counts_up_to_now(build, make_task, owner):
    task = make_task("1", 5)
    clock = Work.objects.create(
        build=build, task=task, person=owner, who="Olive", day=at(14, 9).date(),
        started_at=at(14, 9),
    )  # fmt: skip
    planned = plan_of(build, at(14, 10, 30)).tasks[task.pk]
    assert (planned.logged_minutes, planned.left_minutes) == (90, 210)
    assert planned.running == [clock]
    assert planned.early_finish == at(14, 14)


def test_what_the_builder_says_is_left_counts_from_then_on(build, make_task, owner):
    task = make_task("1", 5)
    Task.objects.update(
        started_at=at(7, 9), left_minutes=8 * 60, left_said_at=at(14, 10)
    )  # said an hour after the clock was started
    Work.objects.create(
        build=build, task=task, person=owner, who="Olive", day=at(14, 9).date(), minutes=180,
        started_at=at(14, 9), stopped_at=at(14, 12),
    )  # fmt: skip
    planned = plan_of(build, at(14, 12)).tasks[task.pk]
    assert (planned.logged_minutes, planned.left_minutes) == (180, 6 * 60)


def test_without_shop_hours_there_is_no_launch_date_and_the_plan_says_why(build, make_task):
    make_task("1", 3)
    ShopHours.objects.all().delete()
    build.touch_plan()
    plan = plan_of(build, FRIDAY)
    assert plan.launch is None
    assert plan.problems == [NO_HOURS]
    assert next(iter(plan.tasks.values())).early_start == at(14, 9)


def test_days_off_without_end_leave_no_room_and_the_plan_says_so(build, make_task):
    make_task("1", 3)
    DayOff.objects.create(build=build, first=dt.date(2026, 1, 1), last=dt.date(2500, 1, 1))
    plan = plan_of(build, FRIDAY)
    assert plan.launch is None
    assert plan.problems == [NO_ROOM]


def test_a_ring_that_got_past_the_door_is_named_and_the_plan_still_made(build, make_task):
    one, two = make_task("1"), make_task("2")
    link(one, two)
    link(two, one)
    plan = plan_of(build, FRIDAY)
    assert plan.launch is not None
    assert "1 Task 1 → 2 Task 2 → 1 Task 1" in plan.problems[0]


def test_an_unbroken_task_longer_than_any_day_is_a_problem_in_words(build, make_task):
    make_task("7", 8, unbroken=True, name="Glue the keel")
    (problem,) = plan_of(build, FRIDAY).problems
    assert problem.startswith("7 Glue the keel must be done in one go and takes 8 h, but")
    assert "6 h" in problem


def test_an_empty_build_has_a_plan(build):
    plan = plan_of(build, FRIDAY)
    assert (plan.launch, plan.critical_path, plan.tasks, plan.problems) == (None, [], {}, [])


def test_stages_come_in_order_with_their_tasks(build, make_task, stage):
    later = Stage.objects.create(build=build, name="Lofting", order=0)
    task, first = make_task("1"), make_task("2", stage=later)
    plan = plan_of(build, FRIDAY)
    assert list(plan.tasks) == [first.pk, task.pk]
    assert [(found.name, [t.pk for t in tasks]) for found, tasks in plan.by_stage()] == [
        ("Lofting", [first.pk]),
        ("Frames", [task.pk]),
    ]


@pytest.mark.parametrize("count", [3, 30])
def test_a_plan_takes_nine_queries_whatever_it_holds(
    build, make_task, count, django_assert_num_queries
):
    tasks = [make_task(str(n)) for n in range(count)]
    for before, after in itertools.pairwise(tasks):
        link(before, after)
        Work.objects.create(build=build, task=before, who="O", day=dt.date(2026, 1, 1), minutes=9)
    with django_assert_num_queries(9):
        plan = plan_of(build, FRIDAY)
        for planned in plan.tasks.values():
            assert planned.task.stage.name and planned.task.build.name
            assert planned.waits_for is not None
            assert planned.driving is None or planned.driving.build.name


def test_a_kept_plan_takes_one_query_and_a_change_makes_a_new_one(
    build, make_task, django_assert_num_queries, django_capture_on_commit_callbacks
):
    task = make_task("1", 1)
    with django_capture_on_commit_callbacks(execute=True):
        before = plan_of(build, FRIDAY)
    with django_assert_num_queries(1):
        again = plan_of(build, FRIDAY)
    assert again.tasks[task.pk].figures == before.tasks[task.pk].figures
    assert again.tasks[task.pk].task.name == task.name

    task.likely_minutes = task.high_minutes = 120
    task.save()
    assert plan_of(build, FRIDAY).launch == at(14, 11)


def test_a_plan_of_what_was_rolled_back_is_not_kept(
    build, make_task, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks(execute=True) as kept:
        try:
            with transaction.atomic():
                make_task("1", 1)
                plan_of(build, FRIDAY)
                raise LookupError
        except LookupError:
            pass
    assert kept == []


def change_stage(build, task):
    task.stage.save()


def change_hours(build, task):
    ShopHours.objects.first().delete()


def change_days_off(build, task):
    DayOff.objects.create(build=build, first=dt.date(2026, 1, 1), last=dt.date(2026, 1, 2))


def change_work(build, task):
    Work.objects.create(build=build, task=task, who="O", day=dt.date(2026, 1, 1), minutes=5)


def change_links(build, task):
    other = Task.objects.create(build=build, stage=task.stage, code="x", name="x")
    link(task, other)


@pytest.mark.parametrize(
    "change", [change_stage, change_hours, change_days_off, change_work, change_links]
)
def test_every_input_of_the_plan_touches_it(build, make_task, change):
    task = make_task("1")
    before = Build.objects.get(pk=build.pk).plan_version
    change(build, task)
    assert Build.objects.get(pk=build.pk).plan_version > before
