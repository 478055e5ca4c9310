"""Who may open and who may do what, for every address of the desk."""

from __future__ import annotations

import pytest
from django.urls import reverse

from tasks import acts
from tasks.models import Act

from .conftest import FRIDAY

LOOK = ["bench", "plan", "plan-network", "plan-checks", "plan-task", "task"]
DO = ["start-task", "stop-task", "finish-task", "say-left", "undo-act"]


@pytest.fixture
def url_of(build, owner, make_task, glue_for):
    task = make_task("1")
    glue_for(task)
    acts.start(task, owner, FRIDAY)
    acts.stop(task, owner, FRIDAY)
    finish = acts.finish(task, owner, FRIDAY)

    def find(name):
        if name in ("bench", "plan", "plan-network", "plan-checks"):
            return reverse(name, args=[build.slug])
        pk = finish.pk if name in ("undo-act", "confirm-use") else task.pk
        return reverse(name, args=[build.slug, pk])

    return find


@pytest.mark.parametrize("name", LOOK)
@pytest.mark.parametrize("who", ["owner", "planner", "hand", "onlooker"])
def test_all_crew_may_look(request, as_person, url_of, name, who):
    assert as_person(request.getfixturevalue(who)).get(url_of(name)).status_code == 200


@pytest.mark.parametrize("name", [*DO, "confirm-use"])
@pytest.mark.parametrize(
    ("who", "allowed"), [("owner", True), ("planner", True), ("hand", True), ("onlooker", False)]
)
def test_those_who_may_log_may_act(request, as_person, url_of, name, who, allowed):
    response = as_person(request.getfixturevalue(who)).post(url_of(name))
    assert (response.status_code != 403) == allowed


@pytest.mark.parametrize("name", [*LOOK, *DO, "confirm-use"])
def test_to_a_stranger_the_build_does_not_exist(as_person, stranger, url_of, name):
    client = as_person(stranger)
    assert client.get(url_of(name)).status_code in (404, 405)
    assert client.post(url_of(name)).status_code in (404, 405)
    assert not Act.objects.filter(person=stranger).exists()


@pytest.mark.parametrize("name", [*LOOK, *DO, "confirm-use"])
def test_whoever_is_not_signed_in_is_sent_to_the_door(client, url_of, name):
    assert client.post(url_of(name)).url.startswith(reverse("sign-in"))


@pytest.mark.parametrize("name", DO)
def test_nothing_is_done_by_a_link(as_person, owner, url_of, name):
    assert as_person(owner).get(url_of(name)).status_code == 405


@pytest.mark.parametrize("name", LOOK)
def test_sheets_take_no_posts(as_person, owner, url_of, name):
    assert as_person(owner).post(url_of(name)).status_code == 405


@pytest.mark.parametrize("name", ["task", *DO, "confirm-use"])
def test_a_task_or_act_of_another_build_is_not_there(as_person, stranger, build, url_of, name):
    url = url_of(name).replace(f"/{build.slug}/", "/other/")
    client = as_person(stranger)
    response = client.post(url) if name in DO else client.get(url)
    assert response.status_code == 404
