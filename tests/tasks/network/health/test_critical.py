from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings

from tasks.network import Calendar, Link, LinkKind, Task
from tasks.network.health import SLIP_DAYS, How, Verdict, Why
from tasks.network.health.critical import critical_path_test, path_from_now
from tests.tasks.network.examples import NOW, Rhythm, networks, rhythms

from .subjects import chain, subject


def test_the_end_moves_as_far_as_the_task():
    tasks, links = chain("a", "b", "c")
    check = critical_path_test(subject(tasks, links, day=7))
    assert (check.count, check.base) == (SLIP_DAYS * 7, SLIP_DAYS * 7)
    assert check.verdict is Verdict.PASSES


def test_a_path_whose_task_does_not_move_the_end_is_found():
    """A plan that names a task with float as critical cannot be believed."""
    tasks, links = chain("a", "b")
    good = subject([*tasks, Task("spare", 1)], links)
    wrong = replace(good.plan, critical_path=("spare",), launch=good.plan.launch)
    check = critical_path_test(subject(good.tasks, links, plan=wrong))
    assert check.verdict is Verdict.FAILS
    assert check.count == SLIP_DAYS + 1 - 10
    assert (check.faults[0].task, check.faults[0].hows) == ("spare", (How.DOES_NOT_MOVE_END,))


def test_begun_work_slips_by_what_is_left_of_it():
    tasks = [Task("a", 5, started=-2, left=3), Task("b", 5)]
    check = critical_path_test(subject(tasks, [Link("a", "b")]))
    assert (check.count, check.verdict) == (SLIP_DAYS, Verdict.PASSES)


def test_a_start_long_ago_cannot_slip_so_the_next_one_does():
    tasks = [Task("a", 50, started=-2, left=3), Task("b", 90)]
    links = [Link("a", "b", LinkKind.SS, lag=40)]
    checked = subject(tasks, links)
    assert checked.plan.critical_path == ("a", "b")
    assert critical_path_test(checked).verdict is Verdict.PASSES


def test_nothing_left_cannot_be_tested():
    done = subject([Task("a", 5, finished=-1)])
    assert critical_path_test(done).why is Why.NO_WORK_LEFT
    assert path_from_now(done).why is Why.NO_WORK_LEFT


def test_shop_hours_with_an_end_leave_no_room_for_a_slip():
    short = subject([Task("a", 5)], calendar=Calendar([(0, 100)]))
    assert critical_path_test(short).why is Why.OUT_OF_SHOP_HOURS


def test_a_path_that_a_date_holds_does_not_begin_now():
    tasks, links = chain("a", "b")
    assert path_from_now(subject(tasks, links)).count == 0
    check = path_from_now(subject([*tasks, Task("engine", 9, not_before=50)], links))
    assert (check.verdict, check.faults[0].task) == (Verdict.INFORMATION, "engine")
    assert check.faults[0].minutes == 50


@settings(deadline=None)
@given(networks(plain=True))
def test_on_one_calendar_every_plan_of_ours_passes_to_the_minute(network):
    check = critical_path_test(subject(*network, now=NOW))
    assert check.why is Why.NO_WORK_LEFT or check.count == check.base


@settings(deadline=None, max_examples=40)
@given(networks(), rhythms)
def test_every_plan_of_ours_passes(network, rhythm: Rhythm):
    """With cures, lags by the clock, work in one go, and work begun."""
    calendar = Calendar(rhythm.stretches(200_000))
    day = max(minutes for _, minutes in rhythm.beats)
    check = critical_path_test(subject(*network, now=NOW, day=day, calendar=calendar))
    assert check.verdict in (Verdict.PASSES, Verdict.CANNOT_TELL)
