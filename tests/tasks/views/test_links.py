from __future__ import annotations

import pytest
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tasks.models import Build, Link, LinkKind, Stage, Task
from tasks.plan import plan_of


@pytest.fixture
def add(build, by_planner):
    """Post the form for another link on the sheet of a task."""

    def post(task, other, **more):
        sent = {"other": other, "way": "before", "kind": "finish-start", "lag_minutes": "",
                "lag_in": "shop", "waits_for_cure": "on"}  # fmt: skip
        return by_planner.post(reverse("task-links", args=[build.slug, task.pk]), sent | more)

    return post


def test_a_link_is_added_by_number_in_either_direction(make_task, add):
    one, two, three = make_task("1"), make_task("2"), make_task("3")
    assert add(two, "1").status_code == 302
    assert add(two, "3 Task 3", way="after").status_code == 302
    assert {(link.before, link.after) for link in Link.objects.all()} == {(one, two), (two, three)}


def test_a_link_takes_kind_lag_and_cure(make_task, add):
    two = make_task("2")
    make_task("1", name="Glue")
    add(two, "glue", kind="start-start", lag_minutes="-2 h", lag_in="elapsed", waits_for_cure="")
    link = Link.objects.get()
    assert (link.kind, link.lag_minutes, link.lag_in) == (LinkKind.START_START, -120, "elapsed")
    assert link.waits_for_cure is False


def test_a_day_is_a_lag_by_the_clock_only(make_task, add):
    make_task("1")
    assert "no fixed hours" in add(make_task("2"), "1", lag_minutes="1 day").text
    add(make_task("3"), "1", lag_minutes="1 day", lag_in="elapsed")
    assert Link.objects.get().lag_minutes == 1440


def test_a_ring_is_refused_with_its_path_named(make_task, add):
    names = {"3": "Frames", "4": "Cleats", "5": "Set up", "10": "Hang the sides"}
    tasks = {code: make_task(code, name=name) for code, name in names.items()}
    for before, after in (("3", "4"), ("4", "5"), ("5", "10")):
        add(tasks[after], before)
    answer = add(tasks["3"], "10")
    assert answer.status_code == 422
    assert "3 Frames → 4 Cleats → 5 Set up → 10 Hang the sides → 3 Frames" in answer.text
    assert Link.objects.count() == 3


@pytest.mark.parametrize(
    ("other", "said"),
    [
        ("1", "A task cannot wait for itself."),
        ("99", "There is no task “99”. Give the number of one."),
        ("Same", "“Same” could be 3, 4. Give the number."),
        ("", "This field is required."),
    ],
)
def test_a_link_to_what_is_no_other_task_is_refused(make_task, add, other, said):
    task = make_task("1")
    make_task("3", name="Same")
    make_task("4", name="Same")
    answer = add(task, other)
    assert answer.status_code == 422
    assert said in answer.text
    assert not Link.objects.exists()


def test_a_link_is_not_made_twice(make_task, add):
    make_task("1")
    two = make_task("2")
    add(two, "1")
    answer = add(two, "1")
    assert "These two tasks are linked in that way already." in answer.text
    assert Link.objects.count() == 1


def test_a_task_of_another_build_cannot_be_linked(make_task, add, stranger):
    other = Build.objects.get(slug="other")
    stage = Stage.objects.create(build=other, name="Theirs")
    Task.objects.create(build=other, stage=stage, code="X1", name="Secret")
    answer = add(make_task("1"), "X1")
    assert "There is no task “X1”" in answer.text


def test_a_link_is_changed_and_a_stale_change_refused(build, make_task, by_planner, fields):
    link = Link.objects.create(build=build, before=make_task("1"), after=make_task("2"))
    address = reverse("edit-link", args=[build.slug, link.pk])
    sent = fields(by_planner.get(address))
    assert by_planner.post(address, sent | {"lag_minutes": "3"}).status_code == 302
    refused = by_planner.post(address, sent | {"lag_minutes": "5"})
    assert refused.status_code == 409
    assert refused.context["form"].differences[0].there_now == "3 h"
    link.refresh_from_db()
    assert link.lag_minutes == 180


def test_a_change_that_makes_two_links_alike_is_refused(build, make_task, by_planner, fields):
    one, two = make_task("1"), make_task("2")
    Link.objects.create(build=build, before=one, after=two)
    other = Link.objects.create(build=build, before=one, after=two, kind="start-start")
    address = reverse("edit-link", args=[build.slug, other.pk])
    sent = fields(by_planner.get(address)) | {"kind": "finish-start"}
    assert "linked in that way already" in by_planner.post(address, sent).text


def test_a_link_is_taken_away_and_a_double_click_does_no_harm(build, make_task, by_planner):
    link = Link.objects.create(build=build, before=make_task("1"), after=make_task("2"))
    address = reverse("remove-link", args=[build.slug, link.pk])
    assert by_planner.post(address).status_code == 302
    assert by_planner.post(address).status_code == 302
    assert not Link.objects.exists()


def test_the_driving_link_is_marked(build, make_task, by_planner):
    one, two, three = make_task("1", 5, name="Long"), make_task("2", name="Short"), make_task("3")
    for before in (one, two):
        Link.objects.create(build=build, before=before, after=three)
    page = by_planner.get(reverse("task-links", args=[build.slug, three.pk]))
    marks = {link.other.task.name: link.driving for link in page.context["facts"].links_in}
    assert marks == {"Long": True, "Short": False}
    assert page.text.count("Fixes the date.") == 1


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.lists(st.tuples(st.integers(0, 4), st.integers(0, 4)), max_size=14))
def test_whatever_is_linked_there_is_never_a_ring(build, make_task, add, pairs):
    Task.objects.all().delete()
    tasks = [make_task(str(n)) for n in range(5)]
    for before, after in pairs:
        add(tasks[after], tasks[before].code)
    assert plan_of(build).problems == []
