"""What would move the launch, on its sheets: who may, what is shown, bad input, taking, undoing."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse

from buildlog.ahead.models import Taken
from buildlog.background.jobs import Job, run_open_jobs
from tasks.models import Crew, Doing, HelpDay, ShopHours, Task

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("weekend")]


@pytest.fixture
def tasks(build, make_task, cabin) -> list[Task]:
    return [make_task("1", hours=57), make_task("2", hours=57, stage=cabin),
            make_task("3", hours=57)]  # fmt: skip


def launch(build) -> str:
    return reverse("launch", args=[build.slug])


def trying(build) -> str:
    return reverse("try-move", args=[build.slug])


def taking(build) -> str:
    return reverse("take-move", args=[build.slug])


EVENING = {"sort": "evening", "weekday": "2", "hours": "18–21"}


def test_the_launch_sheet_says_it_is_being_reckoned_and_then_shows_it(build, tasks, by):
    page = by["hand"].get(launch(build)).text
    assert "What would move it" in page and "Being reckoned" in page
    run_open_jobs()
    page = by["hand"].get(launch(build)).text
    assert "Being reckoned" not in page
    assert "One more stretch a week" in page
    assert re.search(r"days? sooner", page)
    assert "Cabin left out of her" in page
    assert "would not launch her sooner" in page and "A helper every Saturday: the same day" in page
    assert Job.objects.filter(kind="look-ahead").count() == 1


def test_books_that_changed_have_the_worker_asked_again(build, tasks, by):
    by["owner"].get(launch(build))
    run_open_jobs()
    assert "To finish" in by["owner"].get(launch(build)).text
    build.touch_books()
    page = by["owner"].get(launch(build)).text
    assert "The books have changed" in page
    by["owner"].get(launch(build))
    assert Job.objects.open().filter(kind="look-ahead").count() == 1


def test_money_is_shown_to_those_who_may_see_it(build, tasks, by, hand):
    by["owner"].get(launch(build))
    run_open_jobs()
    for address in (launch(build), f"{trying(build)}?sort=evening&weekday=2&hours=18–21"):
        word = "To finish" if address == launch(build) else "Cost to finish"
        assert word in by["owner"].get(address).text
        assert word not in by["hand"].get(address).text
    Crew.objects.filter(person=hand).update(sees_money=True)
    assert "To finish" in by["hand"].get(launch(build)).text


def test_who_may(build, tasks, by):
    assert by["stranger"].get(trying(build)).status_code == 404
    for name in ("onlooker", "hand"):
        page = by[name].get(trying(build), EVENING)
        assert page.status_code == 200 and "Take it" not in page.text
        assert by[name].post(taking(build), EVENING).status_code == 403
    assert by["stranger"].post(taking(build), EVENING).status_code == 404
    by["planner"].post(taking(build), EVENING | {"key": "k"})
    undo = reverse("undo-move", args=[build.slug, Taken.objects.get().pk])
    assert by["hand"].post(undo).status_code == 403
    assert by["stranger"].post(undo).status_code == 404
    assert by["planner"].get(undo).status_code == 405
    other = reverse("undo-move", args=["other", Taken.objects.get().pk])
    assert by["stranger"].post(other).status_code == 404


def test_one_of_ones_own_is_answered_at_once_and_changes_nothing(build, tasks, by):
    version = type(build).objects.get(pk=build.pk).plan_version
    page = by["planner"].get(trying(build), EVENING)
    assert page.status_code == 200
    assert "One more stretch a week: Wednesday 18:00–21:00" in page.text
    assert re.search(r"days? sooner", page.text) and "Take it" in page.text
    assert not ShopHours.objects.filter(weekday=2).exists()
    assert type(build).objects.get(pk=build.pk).plan_version == version


def hidden(page: str) -> dict[str, str]:
    form = page[page.index("plan/launch/take/") :].split("</form>")[0]
    return dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', form))


@pytest.mark.parametrize(
    ("typed", "made"),
    [
        (EVENING, lambda: ShopHours.objects.filter(weekday=2, start_minute=1080)),
        (
            {"sort": "helper", "hands": "2", "weekday": "", "first": "2030-01-05", "who": "Kin"},
            lambda: HelpDay.objects.filter(who="Kin", hands=2),
        ),
        (
            {"sort": "bought-in", "tasks": "2, 3", "days": "10", "price": "1.200,50"},
            lambda: Task.objects.filter(doing=Doing.BOUGHT_IN, code="3", bought_in_days=10),
        ),
        (
            {"sort": "bought-in", "tasks": "2", "days": "", "with_material": "on"},
            lambda: Task.objects.filter(doing=Doing.BOUGHT_ALL, code="2", bought_in_days=10),
        ),
    ],
)
def test_what_was_tried_is_taken_and_undone(build, tasks, by, typed, made):
    page = by["planner"].get(trying(build), typed).text
    sent = hidden(page)
    assert not made().exists()
    answer = by["planner"].post(taking(build), sent, follow=True)
    assert "in the plan now" in answer.text and "Taken so far" in answer.text
    assert made().exists()
    again = by["planner"].post(taking(build), sent)  # a second click
    assert again.status_code == 302
    assert Taken.objects.count() == 1
    undo = reverse("undo-move", args=[build.slug, Taken.objects.get().pk])
    assert "as it was before" in by["planner"].post(undo, follow=True).text
    assert not made().exists()
    assert "undone before" in by["planner"].post(undo, follow=True).text


def test_a_stage_is_left_out_and_stays_in_the_lists(build, tasks, by, cabin):
    by["planner"].post(taking(build), {"sort": "left-out", "stage": cabin.pk, "key": "k"})
    sheet = by["planner"].get(reverse("task", args=[build.slug, tasks[1].pk])).text
    assert "left out" in sheet
    assert "left out" in by["planner"].get(reverse("plan-list", args=[build.slug])).text
    for name in ("bench", "plan", "plan-network", "launch", "materials"):
        assert by["planner"].get(reverse(name, args=[build.slug])).status_code == 200


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"sort": "evening", "weekday": "5", "hours": "10–12"}, "are shop hours already"),
        ({"sort": "evening", "weekday": "9", "hours": "18–21"}, "Select a valid choice"),
        ({"sort": "evening", "weekday": "2", "hours": ""}, "Say from when to when"),
        ({"sort": "evening", "weekday": "2", "hours": "soon"}, "is no stretch of hours"),
        ({"sort": "helper", "hands": "0", "weekday": "5"}, "greater than or equal to 1"),
        ({"sort": "helper", "hands": "1"}, "Say which day of the week they come"),
        ({"sort": "helper", "hands": "1", "first": "2030-01-05", "last": "2030-01-01"},
         "must not be before the first"),
        ({"sort": "helper", "hands": "1", "first": "2190-01-05"}, "more than twenty years"),
        ({"sort": "heating", "first": "2001-02"}, "Select a valid choice"),
        ({"sort": "heating", "first": "February"}, "Select a valid choice"),
        ({"sort": "heating", "first": "2030-13"}, "Select a valid choice"),
        ({"sort": "heating", "first": "2030-02", "last": "2030-01"}, "must not be before"),
        ({"sort": "heating", "first": "2029-02", "last": "2031-01"}, "more than a year"),
        ({"sort": "heating", "first": "2030-02", "a_month": "much"}, "much"),
        ({"sort": "bought-in", "tasks": "99"}, "There is no task “99”"),
        ({"sort": "bought-in", "tasks": " , "}, "Give the number of a task"),
        ({"sort": "bought-in", "tasks": "2", "price": "-5"}, "greater than or equal to 0"),
        ({"sort": "bought-in", "tasks": "2", "days": "99999"}, "less than or equal to 3660"),
        ({"sort": "left-out", "stage": "123456"}, "Select a valid choice"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_and_kept_as_typed(build, tasks, by, typed, said):
    for answer in (by["planner"].get(trying(build), typed),
                   by["planner"].post(taking(build), typed)):  # fmt: skip
        assert answer.status_code == 422
        assert said in answer.text
        assert all(value in answer.text for value in typed.values())
    assert not Taken.objects.exists()


def test_a_task_that_is_begun_is_named(build, tasks, by):
    Task.objects.filter(pk=tasks[0].pk).update(started_at="2026-01-10T10:00Z")
    build.touch_plan()
    answer = by["planner"].get(trying(build), {"sort": "bought-in", "tasks": "1"})
    assert "not yours to do any more: 1 Task 1" in answer.text


def test_a_sort_that_is_none_shows_the_forms(build, tasks, by):
    assert by["planner"].get(trying(build), {"sort": "magic", "x": "1"}).status_code == 200
    assert by["planner"].post(taking(build), {"sort": "magic"}).status_code == 422


def test_without_tasks_there_is_nothing_to_try(build, by):
    page = by["planner"].get(trying(build), EVENING)
    assert page.status_code == 200 and "There is no launch date" in page.text
    assert "What would move it" not in by["planner"].get(launch(build)).text
