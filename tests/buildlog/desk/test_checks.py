"""The sheet of checks: what it shows, and that each remedy on it works and leads back."""

from __future__ import annotations

import datetime as dt
import re
from html import unescape

import pytest
from django.urls import reverse

from tasks.baselines import keep_baseline
from tasks.changes import pin
from tasks.models import Link, Task

from .conftest import FRIDAY


@pytest.fixture
def address(build):
    return reverse("plan-checks", args=[build.slug])


@pytest.fixture
def sheet(address, owner, as_person):
    def get(query="", person=owner):
        response = as_person(person).get(address + query)
        assert response.status_code == 200
        return response

    return get


@pytest.fixture
def send(owner, as_person):
    """Send the form on the sheet that posts to an address, as a browser would."""

    def post(response, action, **typed):
        for form in re.findall(r"<form\b.*?</form>", response.text, re.S):
            if f'action="{action}"' not in form:
                continue
            sent = dict(typed)
            for box in re.findall(r"<(?:input|button)\b[^>]*>", form):
                name, value = (re.search(rf' {part}="([^"]*)"', box) for part in ("name", "value"))
                if name and name[1] not in sent:
                    sent[name[1]] = unescape(value[1]) if value else ""
            if typed.get("way", sent.get("way")) == sent.get("way"):
                sent.pop("csrfmiddlewaretoken", None)
                if all(sent.get(name) == value for name, value in typed.items()):
                    return as_person(owner).post(action, sent)
        raise AssertionError(f"no form posts to {action}")

    return post


def test_an_empty_plan_asks_for_tasks(sheet):
    assert "No tasks yet." in sheet().text


def test_what_is_at_fault_is_named_with_the_published_check_in_small(sheet, make_task):
    make_task("1")
    page = sheet().text
    assert "Work that hangs on nothing" in page
    assert "DCMA 14 points, no. 1: Logic" in page
    assert "Task 1" in page


def test_planners_words_stand_only_in_small_print(sheet, make_task, link):
    one, two = make_task("1"), make_task("2")
    link(one, two, lag_minutes=-60)
    page = re.sub(r"<small\b.*?</small>", "", sheet().text, flags=re.S)
    page = re.sub(r"<[^>]*>", "", page)
    for word in ("predecessor", "successor", "constraint", "milestone", "resource", "DCMA"):
        assert word not in page


def test_a_task_is_linked_to_what_follows(sheet, send, address, build, make_task, link):
    one, two, alone = make_task("1"), make_task("2", 9), make_task("3")
    link(one, two)
    action = reverse("task-links", args=[build.slug, alone.pk])
    answer = send(sheet(), action, other="2 Task 2", way="after")
    assert (answer.status_code, answer["Location"]) == (302, f"{address}#logic")
    assert Link.objects.filter(before=alone, after=two).exists()


def test_a_link_to_nothing_there_keeps_what_was_typed(sheet, send, build, make_task):
    task = make_task("1")
    make_task("2", 5)
    action = reverse("task-links", args=[build.slug, task.pk])
    answer = send(sheet(), action, other="nonsense", way="after")
    assert answer.status_code == 422
    assert "There is no task “nonsense”" in answer.text
    assert 'value="nonsense"' in answer.text
    assert 'name="back"' in answer.text


def test_the_task_that_ends_the_plan_needs_nothing_after_it(sheet, build, make_task):
    task = make_task("1")
    page = sheet().text
    assert "The plan ends with it" in page
    assert f'id="after-{task.pk}"' not in page


def test_a_lead_is_changed_or_its_link_taken_away(sheet, send, address, build, make_task, link):
    tied = link(make_task("1"), make_task("2"), lag_minutes=-60)
    page = sheet()
    answer = send(page, reverse("edit-link", args=[build.slug, tied.pk]), lag_minutes="0")
    assert answer["Location"] == f"{address}#leads"
    tied.refresh_from_db()
    assert (tied.lag_minutes, tied.kind, tied.waits_for_cure) == (0, "finish-start", True)
    stale = send(page, reverse("edit-link", args=[build.slug, tied.pk]), lag_minutes="2 h")
    assert stale.status_code == 409
    answer = send(page, reverse("remove-link", args=[build.slug, tied.pk]))
    assert answer["Location"] == f"{address}#leads"
    assert not Link.objects.exists()


def test_a_task_without_hours_is_given_some(sheet, send, address, build, make_task):
    task = make_task("1", 0)
    action = reverse("task-estimate", args=[build.slug, task.pk])
    bad = send(sheet(), action, low_minutes="5", likely_minutes="4", high_minutes="6")
    assert bad.status_code == 422
    assert "Hours must rise" in bad.text
    assert 'value="5"' in bad.text
    answer = send(sheet(), action, low_minutes="3", likely_minutes="4", high_minutes="6 h 30")
    assert answer["Location"] == f"{address}#no-work"
    task.refresh_from_db()
    assert (task.low_minutes, task.likely_minutes, task.high_minutes) == (180, 240, 390)


def test_a_pin_is_taken_out(sheet, send, address, build, make_task):
    task = make_task("1")
    pin(task, FRIDAY + dt.timedelta(days=8))
    answer = send(sheet(), reverse("let-go", args=[build.slug, task.pk]))
    assert answer["Location"] == f"{address}#hard-constraints"
    task.refresh_from_db()
    assert task.pinned_at is None


def test_dates_that_cannot_be_lead_to_where_they_are_corrected_and_back(
    sheet, address, build, make_task, owner, as_person
):
    task = make_task("1", started_at=FRIDAY + dt.timedelta(days=2))
    url = re.search(r'href="(/b/tender/tasks/\d+/dates/\?back=[^"]*)"', sheet().text)[1]
    page = as_person(owner).get(unescape(url))
    assert f'name="back" value="{address}#invalid-dates"' in page.text
    sent = {"started_at": "", "finished_at": "", "back": f"{address}#invalid-dates",
            "read_as": page.context["form"].now_is}  # fmt: skip
    answer = as_person(owner).post(reverse("task-dates", args=[build.slug, task.pk]), sent)
    assert answer["Location"] == f"{address}#invalid-dates"
    assert Task.objects.get().started_at is None


def test_no_other_site_is_gone_back_to(build, make_task, owner, as_person):
    task = make_task("1")
    action = reverse("task-estimate", args=[build.slug, task.pk])
    page = as_person(owner).get(action)
    sent = {"low_minutes": "1", "likely_minutes": "2", "high_minutes": "3",
            "read_as": page.context["form"].now_is, "back": "//elsewhere.example/"}  # fmt: skip
    answer = as_person(owner).post(action, sent)
    assert answer["Location"] == reverse("task", args=[build.slug, task.pk])


def test_who_may_not_plan_sees_the_faults_and_no_remedy(sheet, make_task, onlooker):
    make_task("1")
    page = sheet(person=onlooker).text
    assert "Work that hangs on nothing" in page
    assert "Say what" not in page.split("</nav>", 1)[1].split("<aside")[0].replace(
        "Say what comes before and after.", ""
    )
    assert 'class="remedy"' not in page


def test_many_faults_are_shown_when_asked_for(sheet, make_task):
    for n in range(20):
        make_task(f"{n:02}")
    more = 'href="?all=logic#logic">8 more</a>'
    assert more in sheet().text
    assert more not in sheet("?all=logic").text
    assert more in sheet("?all=nonsense").text


def test_with_a_baseline_the_rest_is_told(sheet, build, owner, make_task):
    make_task("1", 4)
    assert "Keep a baseline" in sheet().text
    keep_baseline(build, "First", owner)
    page = sheet().text
    assert "held against the baseline “First”" in page
    assert "lie between now and the launch" in page


def test_the_plan_leads_here(build, make_task, owner, as_person, address):
    make_task("1")
    page = as_person(owner).get(reverse("plan", args=[build.slug]))
    assert f'href="{address}"' in page.text


def test_it_asks_the_same_however_many_rows(build, owner, as_person, address, make_task, link,
                                            queries_of):  # fmt: skip
    client = as_person(owner)

    def grow(first, last):
        for n in range(first, last):
            one, two = make_task(f"a{n}", 0), make_task(f"b{n}", started_at=FRIDAY)
            link(one, two, lag_minutes=-30)
            pin(one, FRIDAY + dt.timedelta(days=8))

    grow(0, 1)
    few = len(queries_of(client, address))
    grow(1, 12)
    assert len(queries_of(client, address)) == few
