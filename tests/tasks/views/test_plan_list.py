from __future__ import annotations

import datetime as dt

import pytest
import time_machine
from django.urls import reverse

from tasks.models import Link, ShopHours, Stage, Work

NOW = dt.datetime(2026, 11, 13, 19, tzinfo=dt.UTC)


@pytest.fixture
def show(build, by_planner):
    def get(**query):
        return by_planner.get(reverse("plan-list", args=[build.slug]), query)

    return get


def found(page) -> list[str]:
    return [planned.task.code for planned, _ in page.context["rows"]]


@time_machine.travel(NOW, tick=False)
def test_the_list_says_of_every_task_what_the_bars_draw(build, make_task, show):
    glue, fit = make_task("1", 4, cure_minutes=24 * 60, name="Glue"), make_task("2", 3, name="Fit")
    Link.objects.create(build=build, before=glue, after=fit)
    page = show()
    assert "Launch Sat 21 Nov 2026" in page.text
    for said in ("Frames", "Glue", "Fit", "ready", "waiting", "14 Nov 2026", "21 Nov 2026", "4 h"):
        assert said in page.text


def test_the_list_is_filtered_by_stage_state_and_words(build, make_task, show):
    other = Stage.objects.create(build=build, name="Deck", order=9)
    make_task("1", 5, name="Cut beams")
    make_task("2", name="Glue beams", stage=other)
    make_task("3", name="Glue the stem", started_at=NOW)
    assert found(show(stage=other.pk)) == ["2"]
    assert found(show(state="in hand")) == ["3"]
    assert found(show(words="BEAMS")) == ["1", "2"]
    assert found(show(state="ready", words="glue")) == ["2"]
    assert found(show(state="critical")) == ["1"]
    assert "No task is like that" in show(words="nowhere").text


@pytest.mark.parametrize("query", [{"stage": "x"}, {"state": "x"}, {"page": "x"}, {"page": "99"}])
def test_a_query_string_that_means_nothing_does_no_harm(make_task, show, query):
    make_task("1")
    assert show(**query).status_code == 200


def test_a_plan_without_hours_says_so_and_is_listed(build, make_task, show):
    make_task("1")
    ShopHours.objects.all().delete()
    page = show()
    assert "No shop hours are set" in page.text
    assert found(page) == ["1"]


def test_an_empty_plan_says_how_to_begin(show):
    assert "No tasks yet." in show().text


def test_who_may_only_look_is_offered_no_change(build, make_task, onlooker, as_person):
    make_task("1")
    page = as_person(onlooker).get(reverse("plan-list", args=[build.slug])).text
    assert "Add a task" not in page and "one place up" not in page


@pytest.mark.parametrize("count", [3, 30, 100])
def test_the_list_asks_no_more_of_a_longer_plan(
    build, make_task, show, count, django_assert_num_queries
):
    tasks = [make_task(str(n)) for n in range(count)]
    for other in tasks[1:]:
        Link.objects.create(build=build, before=tasks[0], after=other)
        Work.objects.create(build=build, task=other, who="O", day=dt.date(2026, 1, 1), minutes=9)
    with django_assert_num_queries(12):
        show()
