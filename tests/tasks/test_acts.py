"""Start, stop, finish, undo, in any order a person may click them. Paris time."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from django.db import IntegrityError, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tasks import acts
from tasks.acts import CannotDo, said
from tasks.models import Act, Task, Work
from tasks.plan import State, plan_of

PARIS = ZoneInfo("Europe/Paris")


def at(day: int, hour: int, minute: int = 0, month: int = 11) -> dt.datetime:
    return dt.datetime(2026, month, day, hour, minute, tzinfo=PARIS)


def picture(build) -> tuple:
    """All that an act may change."""
    tasks = Task.objects.filter(build=build).order_by("pk")
    work = Work.objects.filter(build=build).order_by("task_id", "day", "started_at", "minutes")
    return (
        list(tasks.values("pk", "started_at", "finished_at", "left_minutes", "left_said_at")),
        list(
            work.values("task_id", "person_id", "who", "day", "minutes", "started_at", "stopped_at")
        ),
    )


def logged(build) -> int:
    return sum(Work.objects.filter(build=build, minutes__gt=0).values_list("minutes", flat=True))


def test_a_start_sets_a_clock_running_and_the_task_in_hand(build, make_task, hand):
    task = make_task("1", 2)
    act = acts.start(task, hand, at(14, 9))
    clock = Work.objects.get()
    assert (clock.task, clock.person, clock.who, clock.minutes) == (task, hand, "Hanna", None)
    assert clock.day == dt.date(2026, 11, 14)
    assert plan_of(build, at(14, 9)).tasks[task.pk].state == State.IN_HAND
    assert said(act) == "Started 1 Task 1."


def test_a_double_click_starts_stops_and_finishes_once(build, make_task, hand):
    task = make_task("1", 2)
    assert acts.start(task, hand, at(14, 9)) == acts.start(task, hand, at(14, 9))
    assert acts.stop(task, hand, at(14, 10)) == acts.stop(task, hand, at(14, 10))
    assert acts.finish(task, hand, at(14, 11)) == acts.finish(task, hand, at(14, 12))
    assert Work.objects.get().minutes == 60
    assert Act.objects.count() == 3
    task.refresh_from_db()
    assert task.finished_at == at(14, 11)


def test_starting_another_task_stops_the_first_and_says_so(build, make_task, hand):
    first, second = make_task("1"), make_task("2")
    acts.start(first, hand, at(14, 9))
    act = acts.start(second, hand, at(14, 11, 10))
    assert said(act) == "Started 2 Task 2. Stopped 1 Task 1: 2 h 10 logged."
    assert Work.objects.get(task=first).minutes == 130
    assert Work.objects.get(task=second).running


def test_each_person_has_a_clock_of_their_own(build, make_task, hand, owner):
    task = make_task("1")
    acts.start(task, hand, at(14, 9))
    acts.start(task, owner, at(14, 10))
    assert Work.objects.filter(minutes=None).count() == 2


def test_the_database_refuses_a_second_running_clock(build, make_task, hand):
    task = make_task("1")
    acts.start(task, hand, at(14, 9))
    with pytest.raises(IntegrityError), transaction.atomic():
        Work.objects.create(
            build=build, task=task, person=hand, who="H", day=at(14, 9).date(), started_at=at(14, 9)
        )


def test_stopping_what_does_not_run_is_refused(make_task, hand):
    with pytest.raises(CannotDo, match="No clock of yours is running on 1 Task 1"):
        acts.stop(make_task("1"), hand, at(14, 9))


def test_finishing_stops_every_clock_on_the_task(build, make_task, hand, owner):
    task, other = make_task("1"), make_task("2")
    acts.start(task, hand, at(14, 9))
    acts.start(task, owner, at(14, 10))
    act = acts.finish(task, owner, at(14, 11))
    assert not Work.objects.filter(minutes=None).exists()
    assert logged(build) == 180
    assert said(act) == "Finished 1 Task 1. 3 h logged."
    with pytest.raises(CannotDo, match="is finished"):
        acts.start(task, hand, at(14, 12))
    acts.start(other, hand, at(14, 12))


def test_a_task_can_be_finished_without_a_clock(build, make_task, hand):
    task = make_task("1")
    Work.objects.create(build=build, task=task, who="H", day=dt.date(2026, 11, 8), minutes=60)
    acts.finish(task, hand, at(14, 11))
    task.refresh_from_db()
    assert (task.started_at, task.finished_at) == (at(8, 0), at(14, 11))


def test_what_was_finished_without_an_act_is_said_to_be(make_task, hand):
    task = make_task("1", started_at=at(1, 9), finished_at=at(1, 10))
    with pytest.raises(CannotDo, match="finished already"):
        acts.finish(task, hand, at(14, 9))


def test_a_clock_over_midnight_is_logged_on_both_days(build, make_task, hand):
    task = make_task("1")
    acts.start(task, hand, at(14, 22, 30))
    acts.stop(task, hand, at(15, 1, 15))
    rows = list(Work.objects.order_by("day").values_list("day", "minutes"))
    assert rows == [(dt.date(2026, 11, 14), 90), (dt.date(2026, 11, 15), 75)]


def test_a_forgotten_clock_is_kept_and_the_person_told(build, make_task, hand):
    task = make_task("1")
    acts.start(task, hand, at(14, 18))
    act = acts.stop(task, hand, at(16, 9))
    assert [row.minutes for row in Work.objects.order_by("day")] == [360, 1440, 540]
    assert said(act).endswith(
        "39 h logged. If the clock was forgotten, correct the hours in the log."
    )


@pytest.mark.parametrize(
    ("start", "stop", "minutes"),
    [
        # clocks go back on 25 October: the night has an hour more
        (at(24, 23, month=10), at(25, 4, month=10), [60, 300]),
        # and forward on 29 March: an hour less
        (at(28, 23, month=3), at(29, 4, month=3), [60, 180]),
    ],
)  # fmt: skip
def test_hours_are_hours_when_clocks_change(build, make_task, hand, start, stop, minutes):
    task = make_task("1")
    acts.start(task, hand, start)
    acts.stop(task, hand, stop)
    assert [row.minutes for row in Work.objects.order_by("day")] == minutes


def test_the_day_is_that_of_the_build_s_zone(build, make_task, hand):
    acts.start(make_task("1"), hand, dt.datetime(2026, 11, 13, 23, 30, tzinfo=dt.UTC))
    assert Work.objects.get().day == dt.date(2026, 11, 14)


def test_a_stop_before_the_start_logs_nothing_and_fails_nothing(make_task, hand):
    """As when the clock of a phone was wrong."""
    task = make_task("1")
    acts.start(task, hand, at(14, 9))
    acts.stop(task, hand, at(14, 8))
    assert Work.objects.get().minutes == 0


def test_what_is_left_is_said_taken_back_and_refused_once_finished(build, make_task, hand):
    task = make_task("1", 5)
    act = acts.say_left(task, hand, 90, at(14, 9))
    assert said(act) == "1 h 30 left of 1 Task 1."
    assert plan_of(build, at(14, 9)).tasks[task.pk].left_minutes == 90
    assert "follows from its estimate" in said(acts.say_left(task, hand, None, at(14, 9)))
    assert plan_of(build, at(14, 9)).tasks[task.pk].left_minutes == 300
    with pytest.raises(CannotDo, match="Less than nothing"):
        acts.say_left(task, hand, -1, at(14, 9))
    acts.finish(task, hand, at(14, 10))
    with pytest.raises(CannotDo, match="nothing is left"):
        acts.say_left(task, hand, 5, at(14, 10))


def test_undo_sets_the_clock_that_was_stopped_running_again(build, make_task, hand):
    first, second = make_task("1"), make_task("2")
    acts.start(first, hand, at(14, 9))
    before = picture(build)
    act = acts.start(second, hand, at(14, 11))
    acts.undo(act, hand, at(14, 15))  # long after: the first task gets the hours
    assert picture(build) == before


def test_undoing_a_start_that_ran_on_would_lose_hours_and_is_refused(build, make_task, hand):
    task = make_task("1")
    act = acts.start(task, hand, at(14, 9))
    with pytest.raises(CannotDo, match=r"has run for 2 h. Stop it"):
        acts.undo(act, hand, at(14, 11))
    assert Work.objects.get().running


def test_only_the_newest_act_of_a_task_is_undone(build, make_task, hand):
    task = make_task("1")
    start = acts.start(task, hand, at(14, 9))
    stop = acts.stop(task, hand, at(14, 9, 5))
    with pytest.raises(CannotDo, match="More was done"):
        acts.undo(start, hand, at(14, 9, 6))
    acts.undo(stop, hand, at(14, 9, 6))
    acts.undo(start, hand, at(14, 9, 6))
    assert not Work.objects.exists()
    assert plan_of(build, at(14, 10)).tasks[task.pk].state == State.READY


def test_undo_keeps_hours_that_were_corrected_since(make_task, hand):
    task = make_task("1")
    acts.start(task, hand, at(14, 9))
    act = acts.stop(task, hand, at(14, 11))
    Work.objects.update(minutes=100)
    with pytest.raises(CannotDo, match="changed since"):
        acts.undo(act, hand, at(14, 11, 5))
    assert Work.objects.get().minutes == 100


def test_undo_of_a_stop_is_refused_while_another_clock_runs(make_task, hand):
    task, other = make_task("1"), make_task("2")
    acts.start(task, hand, at(14, 9))
    act = acts.stop(task, hand, at(14, 11))
    acts.start(other, hand, at(14, 11))
    with pytest.raises(CannotDo, match="Hanna has a clock running on 2 Task 2"):
        acts.undo(act, hand, at(14, 11, 5))


def test_a_finish_is_undone_days_later_without_inventing_hours(build, make_task, hand):
    task = make_task("1")
    acts.start(task, hand, at(14, 9))
    act = acts.finish(task, hand, at(14, 11))
    acts.undo(act, hand, at(20, 9))
    assert Work.objects.get().minutes == 120
    assert plan_of(build, at(20, 9)).tasks[task.pk].state == State.IN_HAND


def test_a_stop_of_long_ago_is_not_undone(make_task, hand):
    task = make_task("1")
    acts.start(task, hand, at(14, 9))
    act = acts.stop(task, hand, at(14, 11))
    with pytest.raises(CannotDo, match="too long ago"):
        acts.undo(act, hand, at(15, 11))


def test_a_second_undo_changes_nothing(build, make_task, hand):
    task = make_task("1")
    act = acts.say_left(task, hand, 10, at(14, 9))
    acts.undo(act, hand, at(14, 9))
    acts.say_left(task, hand, 20, at(14, 9))
    acts.undo(act, hand, at(14, 9))
    task.refresh_from_db()
    assert task.left_minutes == 20


def test_an_act_on_a_deleted_task_says_so(make_task, hand):
    task = make_task("1")
    gone = Task.objects.get()
    task.delete()
    with pytest.raises(CannotDo, match="deleted"):
        acts.start(gone, hand, at(14, 9))


STEPS = st.lists(
    st.tuples(
        st.sampled_from(["start", "stop", "finish", "left", "undo"]),
        st.integers(0, 1),  # which task
        st.integers(0, 1),  # which person
        st.integers(0, 700),  # minutes later
    ),
    min_size=1,
    max_size=12,
)


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(STEPS)
def test_an_undo_at_once_restores_exactly_and_no_act_loses_hours(
    build, make_task, hand, owner, steps
):
    """After any clicks: the next act, undone at once, leaves all as it was before it."""
    with transaction.atomic():
        tasks = [make_task("1"), make_task("2")]
        now, last = at(14, 9), None
        for what, which, who, later in steps:
            task, person = tasks[which], (hand, owner)[who]
            now += dt.timedelta(minutes=later)
            before, hours, acts_before = picture(build), logged(build), Act.objects.count()
            try:
                if what == "undo":
                    if last:
                        acts.undo(last, person, now)
                    continue
                if what == "left":
                    last = acts.say_left(task, person, later, now)
                else:
                    last = getattr(acts, what)(task, person, now)
            except CannotDo:
                assert picture(build) == before
                continue
            assert logged(build) >= hours
            if Act.objects.count() > acts_before:
                with transaction.atomic():
                    acts.undo(last, person, now)
                    assert picture(build) == before
                    transaction.set_rollback(True)
        transaction.set_rollback(True)
