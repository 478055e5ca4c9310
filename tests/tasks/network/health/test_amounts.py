from __future__ import annotations

from tasks.network import Calendar, Link, Task
from tasks.network.health import Baseline, Verdict, Why
from tasks.network.health.amounts import (
    high_duration,
    high_float,
    negative_float,
    no_work,
    one_guess,
    resources,
    unplanned,
)

from .subjects import subject


def ids(check):
    return [fault.task for fault in check.faults]


def test_float_is_high_from_the_forty_fifth_working_day():
    tasks = [Task("long", 100), Task("44", 56), Task("45", 55)]
    check = high_float(subject(tasks))
    assert (check.count, check.base, ids(check)) == (1, 3, ["45"])
    assert check.faults[0].minutes == 45


def test_a_working_day_has_as_many_shop_minutes_as_it_is_said_to_have():
    tasks = [Task("long", 6000), Task("short", 10)]
    assert high_float(subject(tasks, day=100)).count == 1
    assert high_float(subject(tasks, day=200)).count == 0
    assert high_duration(subject(tasks, day=100)).count == 1
    assert high_duration(subject(tasks, day=200)).count == 0


def test_what_is_finished_is_neither_long_nor_loose():
    tasks = [Task("a", 100, finished=-1), Task("b", 3)]
    assert high_duration(subject(tasks)).base == 1


def test_float_is_negative_against_what_was_promised():
    tasks, links = [Task("a", 6), Task("b", 4), Task("c", 1)], [Link("a", "b"), Link("c", "b")]
    check = negative_float(subject(tasks, links, baseline=Baseline({}, end=8)))
    assert (ids(check), check.verdict) == (["a", "b"], Verdict.FAILS)
    assert [fault.minutes for fault in check.faults] == [-2, -2]
    assert negative_float(subject(tasks, links, baseline=Baseline({}, end=10))).count == 0


def test_without_a_promise_there_is_no_negative_float_to_tell():
    check = negative_float(subject([Task("a", 6)]))
    assert (check.verdict, check.why) == (Verdict.CANNOT_TELL, Why.NO_PROMISE)


def test_no_work_is_neither_a_wait_nor_anything_finished():
    tasks = [Task("none", 0), Task("dry", 0, cure=9), Task("done", 0, finished=-1), Task("a", 3)]
    check = no_work(subject(tasks))
    assert (ids(check), check.base, check.verdict) == (["none"], 3, Verdict.INFORMATION)


def test_one_guess_looks_at_tasks_with_work():
    tasks = [Task("sure", 5), Task("range", 5), Task("none", 0)]
    check = one_guess(subject(tasks, guessed={"range"}))
    assert (ids(check), check.count, check.base) == (["sure"], 1, 2)
    assert one_guess(subject(tasks)).why is Why.GUESSES_UNKNOWN


def test_resources_are_asked_of_tasks_of_a_day_or_more():
    tasks = [Task("day", 8), Task("less", 7), Task("had", 9)]
    check = resources(subject(tasks, day=8, resourced={"had"}))
    assert (ids(check), check.count, check.base) == (["day"], 1, 3)
    assert check.verdict is Verdict.INFORMATION
    assert resources(subject(tasks)).why is Why.RESOURCES_UNKNOWN


def test_hours_outside_the_plan_are_reported_by_all_hours():
    tasks = [Task("a", 5)]
    check = unplanned(subject(tasks, logged=(90, 120)))
    assert (check.count, check.base, check.share) == (30, 120, 0.25)
    assert unplanned(subject(tasks, logged=(0, 0))).why is Why.HOURS_UNKNOWN
    assert unplanned(subject(tasks)).why is Why.HOURS_UNKNOWN


def test_float_counts_shop_minutes_not_the_clock():
    shop = Calendar([(0, 60), (1440, 1500), (2880, 2940)])
    tasks = [Task("long", 150), Task("short", 10)]
    check = high_float(subject(tasks, calendar=shop, day=60))
    assert check.count == 0
    assert high_float(subject(tasks, calendar=shop, day=3)).faults[0].minutes == 140
