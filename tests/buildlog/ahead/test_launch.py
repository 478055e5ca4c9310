"""The launch sheet, the offer, and where a task stands in the order of work."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from buildlog.background.jobs import Job, run_open_jobs
from tasks.models import Answer, AnswerKind, Link, ShopHours, Task
from tasks.order import kept_order


@pytest.fixture
def hours(build):
    for weekday in range(7):
        ShopHours.objects.create(build=build, weekday=weekday, start_minute=540, end_minute=1020)


@pytest.fixture
def tasks(hours, make_task):
    return [make_task(code, hours=4) for code in ("1", "2", "3")]


@pytest.fixture
def by(as_person, owner, planner, hand):
    return {"owner": as_person(owner), "planner": as_person(planner), "hand": as_person(hand)}


def sheet(build) -> str:
    return reverse("launch", args=[build.slug])


def place(build, task) -> str:
    return reverse("task-place", args=[build.slug, task.pk])


def test_the_sheet_shows_the_order_and_asks_the_worker_once(build, tasks, by):
    page = by["hand"].get(sheet(build)).text
    assert "The order of work" in page
    assert all(str(task) in page for task in tasks)
    by["hand"].get(sheet(build))
    assert Job.objects.filter(kind="look-ahead").count() == 1


def test_without_tasks_it_says_so(build, hours, by):
    assert "No tasks yet" in by["hand"].get(sheet(build)).text
    assert not Answer.objects.exists()


def test_the_worker_settles_the_order(build, tasks, by):
    by["hand"].get(sheet(build))
    assert not kept_order(build).figures["settled"]
    run_open_jobs()
    assert Job.objects.get(kind="look-ahead").state == "done"
    assert kept_order(build).figures["settled"]


def test_a_better_order_is_taken_or_left(build, tasks, by):
    by["planner"].get(sheet(build))
    kept = Answer.objects.get(kind=AnswerKind.ORDER)
    better = dict(kept.figures, launch=kept.figures["launch"] - 1440)
    pk = str(tasks[0].pk)
    better["places"] = dict(better["places"], **{pk: [m - 60 for m in better["places"][pk]]})
    address = reverse("answer-offer", args=[build.slug])
    for answer, launch in (("leave", kept.figures["launch"]), ("take", better["launch"])):
        Answer.objects.create(
            build=build, kind=AnswerKind.OFFER, plan_version=kept.plan_version,
            made_at=kept.made_at, figures=better,
        )  # fmt: skip
        page = by["planner"].get(sheet(build)).text
        assert "A better order was found" in page and "starts 1 task at another time" in page
        assert by["hand"].post(address, {"answer": answer}).status_code == 403
        by["planner"].post(address, {"answer": answer})
        assert not Answer.objects.filter(kind=AnswerKind.OFFER).exists()
        assert Answer.objects.get(kind=AnswerKind.ORDER).figures["launch"] == launch
    page = by["planner"].post(address, {"answer": "take"}, follow=True).text
    assert "nothing to take" in page


def test_a_pin_says_what_it_costs_before_it_is_put_in(build, tasks, by):
    at = (timezone.localtime() + dt.timedelta(days=30)).replace(hour=10, minute=0)
    sent = {"what": "pin", "at": f"{at:%Y-%m-%dT%H:%M}"}
    page = by["planner"].post(place(build, tasks[0]), sent)
    assert page.status_code == 200
    assert "days later than" in page.text
    assert Task.objects.get(pk=tasks[0].pk).pinned_at is None
    by["planner"].post(place(build, tasks[0]), sent | {"sure": "yes"})
    assert Task.objects.get(pk=tasks[0].pk).pinned_at is not None
    assert "pinned" in by["planner"].get(sheet(build)).text
    by["planner"].post(reverse("let-go", args=[build.slug, tasks[0].pk]), {"what": "pin"})
    assert Task.objects.get(pk=tasks[0].pk).pinned_at is None


@pytest.mark.parametrize(
    ("at", "said"),
    [
        ("2001-01-01T10:00", "That is past."),
        ("2199-01-01T10:00", "more than twenty years"),
        ("soon", "Enter a valid date/time."),
        ("", "This field is required."),
    ],
)
def test_a_pin_that_cannot_be_is_refused(build, tasks, by, at, said):
    answer = by["planner"].post(place(build, tasks[0]), {"what": "pin", "at": at, "sure": "yes"})
    assert answer.status_code == 422 and said in answer.text


def test_a_task_is_put_behind_another_and_let_go(build, tasks, by):
    first, _, last = tasks
    sent = {"what": "turn", "after": str(last)}
    assert "the same day" in by["planner"].post(place(build, first), sent).text
    by["planner"].post(place(build, first), sent | {"sure": "yes"})
    turns = dict(Task.objects.values_list("pk", "turn"))
    assert turns[last.pk] < turns[first.pk]
    by["planner"].get(sheet(build))
    order = kept_order(build)
    assert order.places[last.pk].start < order.places[first.pk].start
    by["planner"].post(reverse("let-go", args=[build.slug, first.pk]), {"what": "turn"})
    assert set(Task.objects.values_list("turn", flat=True)) == {None}


def test_a_ring_is_refused_at_the_door(build, tasks, by):
    first, second, _ = tasks
    Link.objects.create(build=build, before=first, after=second)
    build.touch_plan()
    sent = {"what": "turn", "after": str(second), "sure": "yes"}
    answer = by["planner"].post(place(build, first), sent)
    assert answer.status_code == 422
    assert "wait for each other in a ring" in answer.text


def test_a_fixed_order_that_went_against_the_links_is_told_and_left_out(build, tasks, by):
    first, second, _ = tasks
    Link.objects.create(build=build, before=first, after=second)
    Task.objects.filter(pk=second.pk).update(turn=1)
    Task.objects.filter(pk=first.pk).update(turn=2)
    build.touch_plan()
    page = by["planner"].get(sheet(build)).text
    assert "the fixed order is left out" in page
    assert "The order of work" in page


def test_who_may(build, tasks, by):
    assert by["hand"].get(place(build, tasks[0])).status_code == 403
    assert by["hand"].get(reverse("launch-date", args=[build.slug])).status_code == 200


def test_the_bench_stands_in_the_order_of_work(build, tasks, by):
    first, _, last = tasks
    by["planner"].post(place(build, first), {"what": "turn", "after": str(last), "sure": "yes"})
    by["planner"].get(sheet(build))
    page = by["planner"].get(reverse("bench", args=[build.slug])).text
    assert page.index(last.name) < page.index(first.name)
