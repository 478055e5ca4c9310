from __future__ import annotations

from dataclasses import replace

import pytest

from tasks.network import Task
from tasks.network.dates import Dates
from tasks.network.health import Baseline, How, Verdict, Why
from tasks.network.health.progress import bei, cpli, invalid_dates, missed, not_in_baseline

from .subjects import chain, subject

NOW = 100


def test_actual_dates_after_the_status_time_are_invalid():
    tasks = [
        Task("fine", 5, started=50, finished=60),
        Task("begun", 5, started=NOW + 1),
        Task("ended", 5, started=90, finished=NOW + 9),
    ]
    check = invalid_dates(subject(tasks, now=NOW))
    assert (check.count, check.base, check.verdict) == (2, 3, Verdict.FAILS)
    assert {fault.task: fault.hows for fault in check.faults} == {
        "begun": (How.STARTED_LATER,),
        "ended": (How.FINISHED_LATER,),
    }


def test_planned_dates_before_the_status_time_are_invalid():
    """Our own planner makes none; another's may."""
    tasks = [Task("a", 5), Task("b", 5)]
    good = subject(tasks, now=NOW)
    assert invalid_dates(good).verdict is Verdict.PASSES
    columns = {name: good.plan.dates.column(name).copy() for name in ("early_start",)}
    columns["early_start"][1] = NOW - 1
    kept = good.plan.dates
    dates = Dates(list(kept), [], {**kept._columns, **columns})
    check = invalid_dates(subject(tasks, plan=replace(good.plan, dates=dates)))
    assert [(fault.task, fault.hows) for fault in check.faults] == [("b", (How.PLANNED_EARLIER,))]


def test_missed_are_late_ones_among_those_due():
    tasks = [
        Task("in time", 5, finished=50),
        Task("late", 5, finished=61),
        Task("not yet", 5),
        Task("due later", 5),
        Task("new", 5, finished=70),
    ]
    baseline = Baseline({"in time": 50, "late": 60, "not yet": 90, "due later": 101}, end=200)
    check = missed(subject(tasks, now=NOW, baseline=baseline))
    assert (check.count, check.base, check.verdict) == (2, 3, Verdict.FAILS)
    assert [(fault.task, fault.minutes) for fault in check.faults] == [("late", 1), ("not yet", 10)]


def test_bei_is_completed_by_planned_and_may_pass_one():
    tasks = [Task("a", 5, finished=50), Task("b", 5, finished=60), Task("new", 5, finished=70)]
    ahead = Baseline({"a": 60, "b": 150}, end=200)
    check = bei(subject(tasks, now=NOW, baseline=ahead))
    assert (check.count, check.base, check.share, check.verdict) == (2, 1, 2.0, Verdict.PASSES)
    behind = Baseline({"a": 60, "new": 80, "c": 90, "b": 99}, end=200)
    tasks[1:2] = [Task("b", 5), Task("c", 5)]
    check = bei(subject(tasks, now=NOW, baseline=behind))
    assert (check.count, check.base, check.verdict) == (2, 4, Verdict.FAILS)


def test_bei_is_undefined_while_nothing_is_due():
    check = bei(subject([Task("a", 5, finished=9)], now=NOW, baseline=Baseline({"a": 150}, 200)))
    assert (check.verdict, check.why, check.share) == (Verdict.CANNOT_TELL, Why.NOTHING_DUE, None)


@pytest.mark.parametrize(
    ("end", "count", "verdict"),
    [
        (NOW + 12, 12, Verdict.PASSES),
        (NOW + 10, 10, Verdict.PASSES),
        (NOW + 9, 9, Verdict.FAILS),  # 0.9
        (NOW, 0, Verdict.FAILS),
        (NOW - 5, -5, Verdict.FAILS),
    ],
)
def test_cpli_is_length_and_float_by_length(end, count, verdict):
    tasks, links = chain("a", "b")
    check = cpli(subject(tasks, links, now=NOW, baseline=Baseline({}, end)))
    assert (check.count, check.base, check.verdict) == (count, 10, verdict)


def test_cpli_is_undefined_once_all_is_done():
    done = subject([Task("a", 5, finished=9)], now=NOW, baseline=Baseline({}, 200))
    assert (cpli(done).why, cpli(done).share) == (Why.NO_WORK_LEFT, None)
    points = subject([Task("a", 0)], now=NOW, baseline=Baseline({}, 200))
    assert cpli(points).why is Why.NO_WORK_LEFT


def test_without_a_baseline_none_of_it_can_be_told():
    bare = subject([Task("a", 5)])
    assert [check(bare).why for check in (missed, bei, not_in_baseline)] == [Why.NO_BASELINE] * 3
    assert cpli(bare).why is Why.NO_PROMISE


def test_tasks_made_since_are_not_in_the_baseline():
    tasks, links = chain("a", "b")
    check = not_in_baseline(subject(tasks, links, baseline=Baseline({"a": 5}, 9)))
    assert (check.count, check.base, check.faults[0].task) == (1, 2, "b")
