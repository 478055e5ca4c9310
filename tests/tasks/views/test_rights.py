"""Who may open which sheet of the plan, and who may change it."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from tasks.models import DayOff, Link

LOOK = ["plan-list", "task"]
PLAN = [
    "new-task", "edit-task", "task-dates", "task-estimate", "delete-task", "task-links",
    "edit-link", "stages", "edit-stage", "shop-hours",
]  # fmt: skip
POST_ONLY = [
    "move-task", "remove-link", "move-stage", "delete-stage", "add-day-off", "remove-day-off",
]  # fmt: skip
OWN = ["build-settings"]
ALLOWED = {
    "owner": {*LOOK, *PLAN, *POST_ONLY, *OWN},
    "planner": {*LOOK, *PLAN, *POST_ONLY},
    "hand": {*LOOK},
    "onlooker": {*LOOK},
}


@pytest.fixture
def address(build, make_task, stage):
    """The address of a sheet, with something there to open."""
    task, other = make_task("1"), make_task("2")
    link = Link.objects.create(build=build, before=task, after=other)
    off = DayOff.objects.create(build=build, first="2026-12-20", last="2027-01-03")
    keys = {
        "task": task, "edit-task": task, "task-dates": task, "task-estimate": task,
        "delete-task": task,
        "task-links": task, "move-task": task, "edit-link": link, "remove-link": link,
        "edit-stage": stage, "move-stage": stage, "delete-stage": stage, "remove-day-off": off,
    }  # fmt: skip

    def of(name: str) -> str:
        return reverse(name, args=[build.slug, *([keys[name].pk] if name in keys else [])])

    return of


@pytest.mark.parametrize("name", [*LOOK, *PLAN, *OWN, *POST_ONLY])
@pytest.mark.parametrize("who", ["owner", "planner", "hand", "onlooker"])
def test_crew_open_what_they_may_and_are_told_what_not(who, name, request, address, as_person):
    client = as_person(request.getfixturevalue(who))
    answer = (client.post if name in POST_ONLY else client.get)(address(name))
    if name in ALLOWED[who]:
        assert answer.status_code in (200, 302, 422)
    else:
        assert answer.status_code == 403


@pytest.mark.parametrize("name", [*LOOK, *PLAN, *OWN, *POST_ONLY])
def test_to_strangers_the_build_does_not_exist(name, address, stranger, as_person):
    client = as_person(stranger)
    assert (client.post if name in POST_ONLY else client.get)(address(name)).status_code == 404


@pytest.mark.parametrize("name", [*LOOK, *PLAN, *OWN, *POST_ONLY])
def test_who_is_not_signed_in_is_sent_to_the_door(name, address):
    answer = (Client().post if name in POST_ONLY else Client().get)(address(name))
    assert answer.status_code == 302
    assert reverse("sign-in") in answer["Location"]


@pytest.mark.parametrize("name", POST_ONLY)
def test_nothing_is_changed_by_looking(name, address, owner, as_person):
    assert as_person(owner).get(address(name)).status_code == 405


@pytest.mark.parametrize("name", ["edit-task", "task-links", "edit-link", "edit-stage", "task"])
def test_a_row_of_another_build_is_not_there(name, address, stranger, as_person):
    """The stranger owns a build, and asks under its address for rows of ours."""
    foreign = address(name).replace("/tender/", "/other/")
    assert as_person(stranger).get(foreign).status_code == 404
