"""The construction outline is a sound network and says so in the right words."""

from __future__ import annotations

import datetime as dt

import pytest

from tasks import outline
from tasks.models import Build, Link, ShopHours, Stage, Task
from tasks.outline import OUTLINE, Line
from tasks.plan import plan_of

LINES = [line for lines in OUTLINE.values() for line in lines]
NOW = dt.datetime(2026, 11, 13, 19, tzinfo=dt.UTC)


def test_every_line_names_lines_there_are_and_rising_hours():
    codes = [line.code for line in LINES]
    assert len(set(codes)) == len(codes)
    for line in LINES:
        assert {before.lstrip("!~") for before in line.after} < set(codes), line
        low, likely, high = line.hours
        assert 0 < low <= likely <= high, line


def test_glue_ups_in_one_go_fit_into_the_usual_weekend(build):
    ShopHours.objects.filter(build=build, weekday=5).update(start_minute=540, end_minute=1020)
    outline.draft(build)
    plan = plan_of(build, NOW)
    assert plan.problems == []
    assert plan.launch is not None
    assert plan.tasks[plan.critical_path[-1]].task.name == "Launch"


def test_only_what_needs_nothing_is_ready_and_only_the_launch_ends(build):
    outline.draft(build)
    plan = plan_of(build, NOW)
    starts = [pk for pk in plan.tasks if not plan.links_in(pk)]
    ends = [pk for pk in plan.tasks if not plan.links_out(pk)]
    assert [plan.tasks[pk].task.code for pk in starts] == ["1", "2"]
    assert [plan.tasks[pk].task.name for pk in ends] == ["Launch"]


def test_turning_over_needs_many_hands_and_a_caution(build):
    (turning,) = [line for line in LINES if line.name == "Turn the hull over"]
    assert turning.hands >= 6
    assert "nobody under the hull" in turning.notes


def test_the_outline_is_written_once(build):
    assert outline.draft(build) == len(LINES)
    assert outline.draft(build) == 0
    assert Task.objects.count() == len(LINES)
    assert Link.objects.count() == sum(len(line.after) for line in LINES)
    assert Stage.objects.count() == len(OUTLINE)


def test_a_build_with_tasks_of_its_own_is_left_alone(build, make_task):
    make_task("1")
    assert outline.draft(build) == 0
    assert Task.objects.count() == 1


@pytest.mark.parametrize(
    ("mark", "kind", "cure"), [("!", "start-start", True), ("~", "finish-start", False)]
)
def test_marks_of_the_outline_make_other_links(build, stage, monkeypatch, mark, kind, cure):
    lines = (Line("1", "Glue", (1, 1, 1), cure=24), Line("2", "Fit", (1, 1, 1), (mark + "1",)))
    monkeypatch.setattr(outline, "OUTLINE", {"Frames": lines})
    outline.draft(build)
    link = Link.objects.get()
    assert (link.kind, link.waits_for_cure) == (kind, cure)


def test_the_plan_is_touched(build):
    before = Build.objects.get().plan_version
    outline.draft(build)
    assert Build.objects.get().plan_version > before
