"""What the plan says. The build has Saturday 9–15 and Sunday 10–14 in Paris."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
import time_machine

from tasks import words
from tasks.models import DayOff, Link, LinkKind, ShopHours, Stage, Task
from tasks.plan import plan_of

PARIS = ZoneInfo("Europe/Paris")
FRIDAY = dt.datetime(2026, 11, 13, 20, 0, tzinfo=PARIS)


@pytest.fixture(autouse=True)
def friday_night():
    with time_machine.travel(FRIDAY, tick=False):
        yield


def link(before: Task, after: Task, **more) -> Link:
    return Link.objects.create(build=before.build, before=before, after=after, **more)


def reason(build, task) -> str:
    plan = plan_of(build, FRIDAY)
    return words.reason(plan, plan.tasks[task.pk])


def test_no_float_says_what_that_means_and_what_it_frees(build, make_task):
    task = make_task("1", 4)
    for number in "234":
        link(task, make_task(number, 2))
    text = "No float: each day late is a day later at launch. Frees three tasks."
    assert reason(build, task) == text


def test_float_is_in_days_by_the_calendar_or_in_hours(build, make_task):
    long, short, shorter = make_task("1", 30), make_task("2", 2), make_task("3", 29)
    assert reason(build, long).startswith("No float")
    assert reason(build, short) == "Float 15 days."
    assert reason(build, shorter) == "Float 1 h."


def test_in_one_go_says_which_days_fit(build, make_task):
    assert reason(build, make_task("1", 5, unbroken=True)).endswith(
        "In one go, 5 h: fits Saturday only."
    )
    assert reason(build, make_task("2", 2, unbroken=True)).endswith("fits any of your days.")
    assert "longer than any of your days in the shed" in reason(
        build, make_task("3", 9, unbroken=True)
    )


def test_many_hands_are_said(build, make_task):
    assert "Needs twelve hands at once." in reason(build, make_task("1", 24, hands=12))


def test_waiting_says_for_what_and_until_when(build, make_task):
    glue = make_task(
        "1", name="Glue the stem", cure_minutes=43 * 60,
        started_at=FRIDAY.replace(day=12, hour=10), finished_at=FRIDAY.replace(day=12, hour=12),
    )  # fmt: skip
    cut, after = make_task("2"), make_task("3")
    link(glue, after)
    assert reason(build, after) == "Waits for “1 Glue the stem” to cure until Sat 14 Nov 07:00."
    link(cut, after)
    assert reason(build, after) == (
        "Waits for “1 Glue the stem” to cure until Sat 14 Nov 07:00 and until “2 Task 2” is done."
    )
    assert reason(build, glue) == "Cures until Sat 14 Nov 07:00."


def test_waiting_for_many_names_two_and_counts_the_rest(build, make_task):
    after = make_task("9")
    for number in "12345":
        link(make_task(number), after)
    assert reason(build, after) == (
        "Waits until “1 Task 1” is done, until “2 Task 2” is done and for three more tasks."
    )


def test_a_set_date_is_said_to_be_the_builder_s(build, make_task):
    held = make_task("1", not_before=dt.date(2027, 4, 1))
    assert reason(build, held) == "Waits for 1 Apr 2027, as you set it."


def test_a_link_that_holds_the_end_of_work_in_hand_is_said(build, make_task):
    before, after = make_task("1"), make_task("2", 4, started_at=FRIDAY)
    link(before, after, kind=LinkKind.FINISH_FINISH)
    assert "To end, it waits until “1 Task 1” is done." in reason(build, after)


def test_what_sets_the_launch_is_told_stage_by_stage_with_reasons(build, make_task, stage):
    hull = Stage.objects.create(build=build, name="Turning over", order=2)
    frames = make_task("1", 20, cure_minutes=3 * 1440)
    turn = make_task("2", 24, hands=12, stage=hull)
    aside = make_task("3", 1)
    link(frames, turn)
    DayOff.objects.create(
        build=build, first=dt.date(2026, 11, 21), last=dt.date(2026, 11, 22), reason="away"
    )
    plan = plan_of(build, FRIDAY)
    steps = words.what_sets(plan)
    assert [(step.stage, step.why) for step in steps] == [
        ("Frames", "cures three days; two days off, away"),
        ("Turning over", "needs twelve hands"),
    ]
    assert steps[0].start == plan.tasks[frames.pk].early_start
    text = words.launch_words(plan)
    assert text.startswith("Frames sets the launch: cures three days; two days off, away. ")
    assert "On the same chain: Turning over." in text
    assert f"Next to it is {aside}" in text


def test_without_hours_the_launch_is_not_invented(build, make_task):
    make_task("1")
    ShopHours.objects.all().delete()
    build.touch_plan()
    assert words.launch_words(plan_of(build, FRIDAY)).startswith("No shop hours are set")


def test_an_empty_plan_and_a_finished_one_are_said(build, make_task):
    assert "no tasks yet" in words.launch_words(plan_of(build, FRIDAY))
    make_task("1", started_at=FRIDAY.replace(day=1), finished_at=FRIDAY.replace(day=2))
    assert words.launch_words(plan_of(build, FRIDAY)) == "Every task is done."


@pytest.mark.parametrize(
    ("fields", "cure", "text"),
    [
        ({}, 0, "starts after it is finished"),
        ({}, 60, "starts after it is finished (and cured)"),
        ({"waits_for_cure": False}, 60, "starts after it is finished (without its cure)"),
        (
            {"kind": LinkKind.START_START, "lag_minutes": 240},
            0,
            "starts after it has started, 4 h in the shed later",
        ),
        (
            {"lag_minutes": -60, "lag_in": "elapsed"},
            0,
            "starts after it is finished, 1 h by the clock earlier",
        ),
    ],
)
def test_a_link_is_told_in_words(fields, cure, text):
    assert words.link_words(Link(**fields), cure) == text
