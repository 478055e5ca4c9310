from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse

from tasks.models import Build, HelpDay, TaskThing, Thing, WorkLimit

ROWS = {
    "help": {"who": "A friend", "hands": "2", "weekday": "5", "hours": "10–16"},
    "things": {"name": "long clamps", "count": "12"},
    "limits": {
        "name": "warm enough", "first_day": "1", "first_month": "5", "last_day": "30",
        "last_month": "9", "hours": "",
    },
    "heated": {"first": "2099-02-01", "last": "2099-02-28"},
}  # fmt: skip


def sheet(build: Build) -> str:
    return reverse("hands", args=[build.slug])


def add(client, build, sort, **fields):
    return client.post(reverse("add-to-shed", args=[build.slug, sort]), ROWS[sort] | fields)


def test_every_sort_is_added_and_shown(build, by_planner):
    for sort in ROWS:
        assert add(by_planner, build, sort).status_code == 302
    page = by_planner.get(sheet(build)).text
    assert "every Saturday, 10:00–16:00" in page
    assert "long clamps" in page
    assert "1 May to 30 Sep" in page
    assert "Sat 28 Feb 2099" in page


def test_single_days_need_a_first_one(build, by_planner):
    answer = add(by_planner, build, "help", weekday="")
    assert answer.status_code == 422
    assert "Say which day of the week they come" in answer.text
    answer = add(by_planner, build, "help", weekday="", last="2027-05-02")
    assert "Say from which day." in answer.text
    assert add(by_planner, build, "help", weekday="", first="2027-05-01").status_code == 302
    assert HelpDay.objects.get().first == dt.date(2027, 5, 1)


@pytest.mark.parametrize(
    ("sort", "fields", "said"),
    [
        ("help", {"hands": "0"}, "greater than or equal to 1"),
        ("help", {"hours": "16–10"}, "ends before it starts"),
        ("help", {"hours": "8–10, 12–14"}, "One stretch only"),
        ("help", {"first": "2027-05-02", "last": "2027-05-01"}, "must not be before the first"),
        ("things", {"count": "-1"}, "greater than or equal to 0"),
        ("things", {"name": " "}, "This field is required."),
        ("limits", {"last_day": ""}, "A season has a first and a last day."),
        ("heated", {"last": "2099-01-01"}, "must not be before the first"),
        ("heated", {"last": "2101-01-01"}, "more than a year in one go"),
        ("limits", {"first_day": "31", "first_month": "4"}, "April has no such day."),
    ],
)
def test_what_cannot_be_is_refused_and_kept_in_the_form(build, by_planner, sort, fields, said):
    answer = add(by_planner, build, sort, **fields)
    assert answer.status_code == 422
    assert said in answer.text
    assert (HelpDay.objects.count(), Thing.objects.count(), WorkLimit.objects.count()) == (0, 0, 0)


def test_a_name_is_taken_once(build, by_planner):
    add(by_planner, build, "things")
    answer = add(by_planner, build, "things", count="3")
    assert "There is a thing of that name already." in answer.text


def test_a_row_is_changed_and_a_stale_change_refused(build, by_planner, fields):
    add(by_planner, build, "help")
    address = reverse("change-shed", args=[build.slug, "help", HelpDay.objects.get().pk])
    sent = fields(by_planner.get(address))
    assert sent["hours"] == "10:00–16:00"
    assert by_planner.post(address, sent | {"hours": "9–12"}).status_code == 302
    assert HelpDay.objects.get().start_minute == 540
    assert by_planner.post(address, sent | {"hours": "12–13"}).status_code == 409
    assert HelpDay.objects.get().start_minute == 540


def test_a_row_is_taken_off_and_twice_does_no_harm(build, by_planner):
    add(by_planner, build, "limits")
    address = reverse("remove-from-shed", args=[build.slug, "limits", WorkLimit.objects.get().pk])
    assert by_planner.post(address).status_code == 302
    assert by_planner.post(address).status_code == 302
    assert not WorkLimit.objects.exists()


def test_how_many_are_always_there(build, by_planner, fields):
    sent = fields(by_planner.get(sheet(build)), "always_form")
    assert by_planner.post(sheet(build), sent | {"hands": "2"}).status_code == 302
    build.refresh_from_db()
    assert build.hands == 2
    sent = fields(by_planner.get(sheet(build)), "always_form")
    assert by_planner.post(sheet(build), sent | {"hands": "0"}).status_code == 422


def test_a_task_says_what_it_holds_and_keeps_to(build, make_task, by_planner, fields):
    for sort in ("things", "limits"):
        add(by_planner, build, sort)
    task, thing, limit = make_task("1"), Thing.objects.get(), WorkLimit.objects.get()
    address = reverse("edit-task", args=[build.slug, task.pk])
    sent = fields(by_planner.get(address))
    held = f"thing_{thing.pk}"
    more = {held: "6", "limit": str(limit.pk), "work_kind": "gluing"}
    assert by_planner.post(address, sent | more).status_code == 302
    task.refresh_from_db()
    assert (task.limit, task.work_kind, TaskThing.objects.get().count) == (limit, "gluing", 6)
    refused = by_planner.post(address, fields(by_planner.get(address)) | {held: "13"})
    assert "less than or equal to 12" in refused.text
    sent = fields(by_planner.get(address))
    assert sent[held] == "6"
    assert by_planner.post(address, sent | {held: ""}).status_code == 302
    assert not TaskThing.objects.exists()


def test_rows_of_another_build_are_not_there(build, by_planner, owner):
    other = Build.objects.create(name="Other", slug="other")
    thing = Thing.objects.create(build=other, name="x")
    for name in ("change-shed", "remove-from-shed"):
        by_planner.post(reverse(name, args=[build.slug, "things", thing.pk]), ROWS["things"])
    thing.refresh_from_db()
    assert thing.name == "x"
    assert by_planner.post(f"/b/{build.slug}/hands/nothing/").status_code == 404
