"""Parts that add up, nothing from nothing, and one change put down to its own group."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tasks.network import Link
from tasks.network.causes import Facts, Group, Record, TaskFacts, What, split_change
from tasks.network.causes.split import MOST_TASKS, first_answer
from tasks.network.exceptions import BadValue
from tasks.network.inputs import Help, Limit

ZONE = ZoneInfo("Europe/Paris")
#: A Monday, eight in the morning by that clock.
NOW = int(dt.datetime(2026, 3, 2, 8, tzinfo=ZONE).timestamp() // 60)
DAY = 1440
EVENINGS = {day: [(9 * 60, 13 * 60)] for day in range(7)}


def facts(tasks: dict[int, TaskFacts], *links: Link, **more) -> Facts:
    fields = {"now": NOW, "zone": ZONE, "first_day": dt.date(2026, 3, 1), "week": EVENINGS}
    return Facts(tasks=tasks, links=links, **(fields | more))


def work(hours: float, **more) -> TaskFacts:
    minutes = round(hours * 60)
    return TaskFacts(**({"likely": minutes, "left": minutes} | more))


def record(of: Facts, previous: Record | None = None) -> Record:
    launch, starts = first_answer(of, previous.starts if previous else {})
    return Record(of, launch, starts)


def causes(before: Facts, after: Facts) -> list[tuple[Group, int]]:
    """What moved the launch: group and whole days."""
    first = record(before)
    parts = split_change(first, record(after, first))
    return [(part.groups[0], part.days) for part in parts if part.minutes]


FOUR_DAYS = facts({1: work(4), 2: work(4), 3: work(4), 4: work(4)}, Link(1, 2), Link(2, 3))


def test_no_change_has_no_causes():
    before = record(FOUR_DAYS)
    assert split_change(before, record(FOUR_DAYS, before)) == []


def test_a_week_away_is_put_down_to_the_week_away_even_once_it_is_over():
    away = (dt.date(2026, 3, 3), dt.date(2026, 3, 9), "family")
    told_ahead = replace(FOUR_DAYS, days_off=(away,))
    assert causes(FOUR_DAYS, told_ahead) == [(Group.SHOP, 7)]
    tasks = FOUR_DAYS.tasks | {1: work(4, left=0, logged=240, started=NOW, finished=NOW + 300)}
    after = replace(told_ahead, tasks=tasks, now=NOW + 8 * DAY)
    assert causes(FOUR_DAYS, after) == [(Group.SHOP, 7)]


def test_time_that_passes_with_nothing_done():
    assert causes(FOUR_DAYS, replace(FOUR_DAYS, now=NOW + 3 * DAY)) == [(Group.TIME, 3)]
    first = record(FOUR_DAYS)
    part = split_change(first, record(replace(FOUR_DAYS, now=NOW + 3 * DAY), first))[0]
    assert [(one.what, one.was, one.now) for one in part.changes] == [(What.WORKED, 720, 0)]


def test_work_as_planned_moves_nothing():
    tasks = FOUR_DAYS.tasks | {1: work(4, left=0, logged=240, started=NOW, finished=NOW + 300)}
    assert causes(FOUR_DAYS, replace(FOUR_DAYS, tasks=tasks, now=NOW + DAY)) == []
    without_a_log = FOUR_DAYS.tasks | {1: work(4, left=0, started=NOW, finished=NOW + 300)}
    assert causes(FOUR_DAYS, replace(FOUR_DAYS, tasks=without_a_log, now=NOW + DAY)) == []


def test_a_task_that_took_more_than_guessed():
    """Three days of work went into a job of one: not the time is at fault, but the guess."""
    done = work(4, left=0, logged=720, started=NOW, finished=NOW + 2 * DAY + 300)
    after = replace(FOUR_DAYS, tasks=FOUR_DAYS.tasks | {1: done}, now=NOW + 3 * DAY)
    assert causes(FOUR_DAYS, after) == [(Group.HOURS, 2)]
    first = record(FOUR_DAYS)
    part = next(p for p in split_change(first, record(after, first)) if p.minutes)
    (change,) = part.changes
    assert (change.what, change.tasks, change.was, change.now) == (What.HOURS, (1,), 240, 720)


def test_more_is_thought_to_be_left():
    part_done = work(4, left=480, logged=240, started=NOW + 60)
    after = replace(FOUR_DAYS, tasks=FOUR_DAYS.tasks | {1: part_done}, now=NOW + DAY)
    assert causes(FOUR_DAYS, after) == [(Group.HOURS, 2)]


def test_a_task_that_took_less():
    quick = work(4, left=0, logged=120, started=NOW, finished=NOW + 180)
    before = facts({1: work(8), 2: work(4)}, Link(1, 2))
    after = replace(before, tasks=before.tasks | {1: replace(quick, likely=480)}, now=NOW + DAY)
    # Half of the day's hours were worked, but then no more was needed: six hours saved.
    assert causes(before, after) == [(Group.TIME, 1), (Group.HOURS, -2)]


@pytest.mark.parametrize(
    ("group", "change"),
    [
        (Group.TASKS, {"tasks": FOUR_DAYS.tasks | {5: work(8)}}),
        (Group.TASKS, {"tasks": {1: work(4), 2: work(4), 3: work(4)}}),
        (Group.SHOP, {"week": {day: [(540, 660)] for day in range(7)}}),
        (Group.HANDS, {"hands": 2}),
        (Group.HANDS, {"help": (Help(1),)}),
        (Group.HANDS, {"tasks": FOUR_DAYS.tasks | {4: work(4, hands=2)}, "hands": 3}),
        (Group.TASKS, {"tasks": FOUR_DAYS.tasks | {3: work(0, likely=240, doing="bought-in")}}),
        (Group.LINKS, {"links": (Link(1, 2), Link(2, 3, lag=960))}),
        (Group.CURE, {"tasks": FOUR_DAYS.tasks | {3: work(4, cure=9 * DAY)}}),
        (Group.LIMITS, {"tasks": FOUR_DAYS.tasks | {3: work(4, pin=NOW + 60 + 9 * DAY)}}),
        (Group.LIMITS, {"tasks": FOUR_DAYS.tasks | {3: work(4, not_before=NOW + 9 * DAY)}}),
        (
            Group.LIMITS,
            {
                "limits": {1: Limit(0, 1440, (5, 1), (9, 30))},
                "tasks": FOUR_DAYS.tasks | {3: work(4, limit=1)},
            },
        ),
        (Group.HOURS, {"tasks": FOUR_DAYS.tasks | {3: work(40)}}),
    ],
)
def test_a_single_change_is_put_down_to_its_group(group, change):
    found = causes(FOUR_DAYS, replace(FOUR_DAYS, **change))
    assert {one for one, _ in found} == {group}


def test_a_step_that_cannot_be_alone_makes_one_part_with_the_next():
    """A new task between two whose link was turned round: without the link it closes a ring."""
    before = facts({1: work(4), 2: work(4)}, Link(1, 2))
    after = facts({1: work(4), 2: work(4), 3: work(4)}, Link(2, 3), Link(3, 1))
    first = record(before)
    parts = split_change(first, record(after, first))
    assert [part.groups for part in parts if part.minutes] == [(Group.TASKS, Group.LINKS)]
    assert {one.what for one in parts[0].changes} == {
        What.TASK_ADDED,
        What.LINK_REMOVED,
    }


def test_days_that_others_take_pass_with_time():
    """A bought-in task that is away: nothing of ours is left, its days are told as a cure."""
    away = work(0, likely=240, started=NOW - 60, cure=20 * DAY, doing="bought-in")
    before = facts({1: away, 2: work(4)}, Link(1, 2))
    after = replace(before, tasks=before.tasks | {1: replace(away, cure=13 * DAY)})
    assert causes(before, replace(after, now=NOW + 7 * DAY)) == []
    assert causes(before, replace(before, now=NOW + 7 * DAY)) == [(Group.TIME, 7)]


def test_another_order_of_the_same_work_is_said_to_be_one():
    before = record(FOUR_DAYS)
    better = replace(before, launch=before.launch - 2 * DAY)
    (part,) = split_change(before, better)
    assert (part.groups, part.minutes, part.days) == ((Group.ORDER,), -2 * DAY, -2)


def test_many_tasks_share_the_last_part():
    tasks = {pk: work(4) for pk in range(1, MOST_TASKS + 5)}
    more = {pk: work(4 + pk) for pk in tasks}
    before = record(facts(tasks))
    parts = split_change(before, record(facts(more), before))
    parts = [part for part in parts if part.groups == (Group.HOURS,)]
    assert [len(part.changes) for part in parts] == [1] * MOST_TASKS + [4]
    assert parts[0].changes[0].tasks == (MOST_TASKS + 4,)


def test_records_the_wrong_way_round_are_refused():
    earlier, later = record(FOUR_DAYS), record(replace(FOUR_DAYS, now=NOW + 5))
    with pytest.raises(BadValue):
        split_change(later, earlier)


minutes = st.integers(1, 20).map(lambda n: 30 * n)


@st.composite
def some_facts(draw, now: int = NOW) -> Facts:
    pks = draw(st.lists(st.integers(1, 7), min_size=1, max_size=6, unique=True))
    tasks = {}
    for pk in sorted(pks):
        likely, logged = draw(minutes), draw(st.sampled_from([0, 0, 60, 300]))
        state = draw(st.sampled_from(["new", "new", "begun", "done"]))
        begun = state != "new"
        tasks[pk] = TaskFacts(
            likely=likely,
            left=0 if state == "done" else draw(minutes),
            logged=logged if begun else 0,
            hands=draw(st.integers(1, 2)),
            cure=draw(st.sampled_from([0, 0, 1440])),
            unbroken=draw(st.booleans()),
            started=now - 600 if begun else None,
            finished=now - 30 if state == "done" else None,
            not_before=draw(st.sampled_from([None, None, now + 4000])),
            things=draw(st.sampled_from([{}, {}, {1: 1}])),
            limit=draw(st.sampled_from([None, 1])),
            pin=draw(st.sampled_from([None, None, now + 5000])),
        )
    pairs = [(a, b) for a in tasks for b in tasks if a != b]
    chosen = draw(st.lists(st.sampled_from(pairs), max_size=5, unique=True)) if pairs else []
    return Facts(
        now=now,
        zone=ZONE,
        first_day=dt.date(2026, 3, 1),
        tasks=tasks,
        links=tuple(Link(a, b, lag=draw(st.sampled_from([0, 120]))) for a, b in chosen),
        week=draw(st.sampled_from([EVENINGS, {5: [(540, 1020)]}, {0: [(600, 900)], 6: [(0, 99)]}])),
        days_off=draw(
            st.sampled_from([(), ((dt.date(2026, 3, 4), dt.date(2026, 3, 12), "away"),)])
        ),
        hands=draw(st.integers(1, 2)),
        help=draw(st.sampled_from([(), (Help(1, weekday=5),)])),
        things=draw(st.sampled_from([{}, {1: 1}, {1: 2}])),
        limits=draw(st.sampled_from([{}, {1: Limit(540, 900)}])),
    )


def total(parts) -> tuple[int, int]:
    return sum(part.minutes for part in parts), sum(part.days for part in parts)


@settings(max_examples=25, deadline=None)
@given(some_facts(), st.data(), st.sampled_from([0, 90, 7 * DAY]))
def test_the_parts_add_up_to_the_whole_change(before, data, passed):
    after = data.draw(some_facts(now=NOW + passed))
    one, other = first_answer(before, {}), first_answer(after, {})
    assume(one is not None and other is not None)
    first, last = Record(before, *one), Record(after, *other)
    parts = split_change(first, last)
    days = [dt.datetime.fromtimestamp(each.launch * 60, ZONE).toordinal() for each in (first, last)]
    assert total(parts) == (last.launch - first.launch, days[1] - days[0])


@settings(max_examples=20, deadline=None)
@given(some_facts())
def test_the_same_facts_have_no_causes_whatever_they_are(some):
    found = first_answer(some, {})
    assume(found is not None)
    assert split_change(Record(some, *found), Record(some, *found)) == []


@settings(max_examples=25, deadline=None)
@given(some_facts(), st.sampled_from(["week", "hands", "links", "cure"]))
def test_a_change_of_one_group_names_no_other(some, which):
    changed, group = {
        "week": ({"week": {day: [(480, 1200)] for day in range(7)}}, Group.SHOP),
        "hands": ({"hands": 5}, Group.HANDS),
        "links": ({"links": ()}, Group.LINKS),
        "cure": (
            {"tasks": {pk: replace(one, cure=2000) for pk, one in some.tasks.items()}},
            Group.CURE,
        ),
    }[which]
    found = first_answer(some, {})
    assume(found is not None)
    after = replace(some, **changed)
    then = first_answer(after, found[1])
    assume(then is not None)
    parts = split_change(Record(some, *found), Record(after, *then))
    assert {name for part in parts for name in part.groups} <= {group, Group.ORDER}
