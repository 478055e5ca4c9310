from __future__ import annotations

import datetime as dt
from itertools import pairwise

import pytest
import time_machine

from tasks.baselines import keep_baseline
from tasks.changes import pin
from tasks.health import health_of, usual_day
from tasks.health_faults import fault_words
from tasks.health_words import HEADINGS, WHYS, advice, says, standard_of
from tasks.models import Doing, HelpDay, Link, LinkKind, ShopHours, Task, Work
from tasks.network.health import Fault, How, Key, Verdict, Why
from tasks.plan import plan_of
from tests.queries import noted_queries

FRIDAY = dt.datetime(2026, 11, 13, 18, 0, tzinfo=dt.UTC)


@pytest.fixture(autouse=True)
def friday():
    with time_machine.travel(FRIDAY, tick=False) as traveller:
        yield traveller


@pytest.fixture
def check(build):
    def of(key: Key, baseline=None):
        found = health_of(plan_of(build), baseline)
        assert found is not None
        return found, found.checks.checks[key]

    return of


def test_a_day_is_the_mean_of_the_days_with_shop_hours(build, make_task):
    make_task("1")
    assert usual_day(plan_of(build)) == 5 * 60  # six hours on Saturday, four on Sunday


def test_tasks_that_nothing_is_tied_to_are_named(build, make_task, check):
    one, two, alone = make_task("1"), make_task("2", 8), make_task("3")
    Link.objects.create(build=build, before=one, after=two)
    found, logic = check(Key.LOGIC)
    assert {fault.task: fault_words(found, fault) for fault in logic.faults} == {
        one.pk: "Nothing leads to it: right, if it can start at any time.",
        two.pk: "The plan ends with it, so nothing need come after it.",
        alone.pk: "Nothing leads to it: right, if it can start at any time. Nothing waits for it.",
    }
    assert says(found, logic) == (
        "Three of three unfinished tasks have nothing before them, or nothing after them."
    )


def test_a_fault_of_a_link_leads_to_its_row(build, make_task, check):
    one, two, three = make_task("1"), make_task("2"), make_task("3")
    Link.objects.create(build=build, before=one, after=two)
    link = Link.objects.create(build=build, before=two, after=three, lag_minutes=-120)
    found, leads = check(Key.LEADS)
    assert [found.link_of(fault) for fault in leads.faults] == [link]
    assert fault_words(found, leads.faults[0]) == "2 h sooner than the other allows."
    assert says(found, leads) == "One of two links lets a task begin before the other is over."


def test_a_pin_is_a_hard_constraint(build, make_task, check):
    task = make_task("1")
    assert not check(Key.HARD_CONSTRAINTS)[1].count
    pin(task, FRIDAY + dt.timedelta(days=8))
    assert [fault.task for fault in check(Key.HARD_CONSTRAINTS)[1].faults] == [task.pk]


def test_hands_that_never_come_are_a_missing_resource(build, make_task, check):
    task = make_task("1", 24, hands=4)
    make_task("2", 2, hands=9)  # half an hour: too short to be asked
    assert [fault.task for fault in check(Key.RESOURCES)[1].faults] == [task.pk]
    HelpDay.objects.create(build=build, who="Club", hands=3, first=dt.date(2026, 11, 1))
    assert check(Key.RESOURCES)[1].count == 1  # they were here
    HelpDay.objects.create(build=build, who="Club", hands=3, weekday=5)
    assert check(Key.RESOURCES)[1].count == 0


def test_what_is_bought_in_needs_no_hands_and_is_not_without_work(build, make_task, check):
    make_task("1", 24, hands=9, doing=Doing.BOUGHT_IN, bought_in_days=5)
    assert check(Key.RESOURCES)[1].count == 0
    assert check(Key.NO_WORK)[1].count == 0


def test_what_is_left_out_is_counted_nowhere(build, make_task, check):
    make_task("1")
    make_task("2", doing=Doing.LEFT_OUT)
    assert check(Key.LOGIC)[1].base == 1


def test_hours_for_no_task_are_told(build, owner, make_task, check):
    task = make_task("1")
    for minutes, of in ((300, task), (100, None)):
        Work.objects.create(
            build=build, person=owner, who="Olive", task=of, day=FRIDAY.date(), minutes=minutes
        )
    found, unplanned = check(Key.UNPLANNED)
    assert says(found, unplanned) == "1 h 40 of 6 h 40 logged, 25 in a hundred."


def test_a_started_time_to_come_is_invalid(build, make_task, check):
    task = make_task("1", started_at=FRIDAY + dt.timedelta(days=2))
    found, invalid = check(Key.INVALID_DATES)
    assert invalid.verdict is Verdict.FAILS
    assert fault_words(found, invalid.faults[0]) == "Said to have started after now."
    assert invalid.faults[0].task == task.pk


def test_work_begun_out_of_turn_names_the_link(build, make_task, check):
    one, two = make_task("1"), make_task("2", started_at=FRIDAY)
    link = Link.objects.create(build=build, before=one, after=two)
    found, out = check(Key.OUT_OF_ORDER)
    assert [found.link_of(fault) for fault in out.faults] == [link]


class TestAgainstABaseline:
    def test_without_one_the_page_says_so(self, make_task, check):
        make_task("1")
        found, missed = check(Key.MISSED)
        assert missed.why is Why.NO_BASELINE
        assert says(found, missed) == "No baseline was kept yet."

    def test_late_and_new_tasks_are_told(self, build, owner, make_task, check, friday):
        late = make_task("1", 4)
        Link.objects.create(build=build, before=late, after=make_task("2", 30))
        baseline = keep_baseline(build, "First", owner)
        new = make_task("3")
        assert check(Key.MISSED, baseline)[1].why is Why.NOTHING_DUE
        friday.move_to(FRIDAY + dt.timedelta(days=4))  # Saturday and Sunday are gone
        found, missed = check(Key.MISSED, baseline)
        assert [fault.task for fault in missed.faults] == [late.pk]
        assert fault_words(found, missed.faults[0]).startswith("Not finished, three days late")
        bei = check(Key.BEI, baseline)[1]
        assert (bei.count, bei.base, bei.verdict) == (0, 1, Verdict.FAILS)
        assert [f.task for f in check(Key.NOT_IN_BASELINE, baseline)[1].faults] == [new.pk]

    def test_a_task_finished_on_its_day_is_in_time(self, build, owner, make_task, check, friday):
        task = make_task("1", 4)
        Link.objects.create(build=build, before=task, after=make_task("2", 30))
        baseline = keep_baseline(build, "First", owner)  # Saturday, 13:00
        evening = dt.datetime(2026, 11, 14, 20, tzinfo=dt.UTC)
        Task.objects.filter(pk=task.pk).update(started_at=FRIDAY, finished_at=evening)
        build.touch_plan()
        friday.move_to(FRIDAY + dt.timedelta(days=4))
        assert (check(Key.MISSED, baseline)[1].count, check(Key.MISSED, baseline)[1].base) == (0, 1)

    def test_the_launch_that_was_kept_can_be_out_of_reach(self, build, owner, make_task, check):
        task = make_task("1", 20)
        baseline = keep_baseline(build, "First", owner)
        assert check(Key.CPLI, baseline)[1].verdict is Verdict.PASSES
        Task.objects.filter(pk=task.pk).update(likely_minutes=40 * 60, high_minutes=40 * 60)
        build.touch_plan()
        found, cpli = check(Key.CPLI, baseline)
        assert (cpli.count, cpli.base) == (20 * 60, 40 * 60)
        assert "20 h before that. That makes 0.50." in says(found, cpli)
        assert [f.minutes for f in check(Key.NEGATIVE_FLOAT, baseline)[1].faults] == [-20 * 60]


def test_without_shop_hours_the_links_can_still_be_checked(build, make_task, check):
    make_task("1")
    ShopHours.objects.all().delete()
    build.touch_plan()
    assert check(Key.LOGIC)[1].count == 1


def test_what_cannot_be_planned_cannot_be_checked(build, make_task):
    one, two = make_task("1"), make_task("2")
    for before, after in ((one, two), (two, one)):
        Link.objects.create(build=build, before=before, after=after)
    plan = plan_of(build)
    assert health_of(plan) is None
    assert "ring" in plan.problems[0]


def test_the_bridge_asks_the_same_however_many_rows(build, make_task):
    def count() -> int:
        plan = plan_of(build)
        with noted_queries() as queries:
            health_of(plan)
        return len(queries)

    tasks = [make_task(str(n)) for n in range(3)]
    few = count()
    tasks += [make_task(str(n)) for n in range(3, 30)]
    for before, after in pairwise(tasks):
        Link.objects.create(build=build, before=before, after=after, kind=LinkKind.START_START)
    assert count() == few == 2


def test_every_check_has_its_words(build, owner, make_task):
    make_task("1", 3)
    found = health_of(plan_of(build), keep_baseline(build, "First", owner))
    for key, check in found.checks.checks.items():
        assert HEADINGS[key]
        assert advice(key)
        assert says(found, check)
        assert standard_of(key).name
    assert set(WHYS) == set(Why)
    assert standard_of(Key.LOGIC).asks == "5 % or less, as others quote it"
    assert standard_of(Key.BEI).asks == "0.95 or more, as we remember it"


TOLD_BY_THE_HEADING = {How.OTHER_KIND, How.NO_RESOURCE, How.OUT_OF_ORDER, How.NOT_IN_BASELINE}


@pytest.mark.parametrize("how", [how for how in How if how not in TOLD_BY_THE_HEADING])
def test_every_fault_that_its_heading_does_not_tell_has_its_words(build, make_task, how):
    task = make_task("1")
    found = health_of(plan_of(build))
    assert fault_words(found, Fault((how,), task=task.pk, minutes=-90)).endswith(".")
