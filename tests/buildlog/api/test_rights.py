"""Every endpoint, asked by everybody."""

import pytest

from buildlog.api.urls import rows

MONEY = {"suppliers", "prices", "purchases", "standing-costs", "cost"}
SHARE = {"supporters", "contributions", "updates"}
NAMES = [name for name, _, _ in rows.registry]


@pytest.mark.parametrize("name", NAMES)
def test_reading(api, build, owner, planner, hand, onlooker, stranger, name):
    codes = {
        who: api(person).get(f"{name}/").status_code
        for who, person in {
            "owner": owner, "planner": planner, "hand": hand, "onlooker": onlooker,
            "stranger": stranger, "nobody": None,
        }.items()
    }  # fmt: skip
    small = 403 if name in MONEY | SHARE else 200
    assert codes == {
        "owner": 200,
        "planner": 403 if name in SHARE else 200,
        "hand": small,
        "onlooker": small,
        "stranger": 404,
        "nobody": 401,
    }


@pytest.mark.parametrize("name", NAMES)
def test_writing_is_refused_before_the_body_is_looked_at(api, build, onlooker, stranger, name):
    for person, code in ((onlooker, {403, 405}), (stranger, {404, 405}), (None, {401, 405})):
        assert api(person).post(f"{name}/", {}).status_code in code


def test_hand_logs_but_does_not_plan(api, build, hand, make_task):
    task = make_task("1")
    client = api(hand)
    assert client.post(f"tasks/{task.pk}/start/").status_code == 200
    assert client.patch(f"tasks/{task.pk}/", {"name": "x"}).status_code == 403
    assert client.delete(f"tasks/{task.pk}/").status_code == 403


def test_session_signs_in_too_and_needs_the_token_of_the_form(as_person, owner, build, stage):
    client = as_person(owner)
    assert client.get("/api/builds/tender/tasks/").status_code == 200
    strict = type(client)(enforce_csrf_checks=True)
    strict.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    assert strict.post("/api/builds/tender/stages/", {"name": "x"}).status_code == 403


def test_list_of_builds_is_your_own(api, build, owner, stranger):
    assert [row["slug"] for row in api(owner).get("/api/builds/").json()["results"]] == ["tender"]
    assert [row["slug"] for row in api(stranger).get("/api/builds/").json()["results"]] == ["other"]
    assert api(stranger).get("/api/builds/tender/").status_code == 404


def test_planner_does_not_change_the_build_itself(api, build, planner, owner):
    assert api(planner).patch("/api/builds/tender/", {"name": "x"}).status_code == 403
    answer = api(owner).patch("/api/builds/tender/", {"currency": "GBP"})
    assert (answer.status_code, answer.json()["currency"]) == (200, "GBP")


def test_rows_of_another_build_do_not_exist(api, build, owner, stranger, make_task):
    other = stranger.crew_of.get().build
    foreign = other.stages.create(name="Theirs")
    make_task("1")
    client = api(owner)
    assert client.get(f"stages/{foreign.pk}/").status_code == 404
    answer = client.post("tasks/", {"code": "9", "name": "x", "stage": foreign.pk})
    assert answer.status_code == 400
    assert answer.json()["error"]["fields"]["stage"][0]["code"] == "does_not_exist"
