"""What was found by attacking the program as a whole, and must not come back."""

from __future__ import annotations

import json

import pytest

from buildlog.journal.intake import take_in
from buildlog.journal.models import Entry, Photo
from tasks.models import Link
from tasks.plan import plan_of
from tests.buildlog.journal.pictures import a_photo


@pytest.fixture
def photo(build, owner) -> Photo:
    return take_in(build, owner, a_photo("IMG_0001.jpg", 1)).photo


ELSEWHERE = ["https://evil.example/", "//evil.example", "/\\evil.example", "javascript:alert(1)"]


@pytest.mark.parametrize("back", ["money", "0x10", "\ufffd", "?", *ELSEWHERE])
def test_the_way_back_that_a_form_names_is_an_address_of_this_site_or_not_taken(
    as_person, build, owner, make_task, back
):
    """A bare word is no address: it neither leads to a page of that name nor breaks the answer."""
    client, task = as_person(owner), make_task("1")
    answer = client.post(f"/b/{build.slug}/tasks/{task.pk}/start/", {"back": back})
    assert (answer.status_code, answer.url) == (302, task.get_absolute_url())
    line = {"text": "Cut two.", "key": "k", "next": back}
    answer = client.post(f"/b/{build.slug}/log/quick/", line)
    assert (answer.status_code, answer.url) == (302, f"/b/{build.slug}/log/")


def test_hours_of_somebody_who_is_no_choice_are_refused_and_nothing_typed_is_lost(
    as_person, build, owner
):
    sent = {
        "day": "2026-03-07", "text": "Cut two.", "key": "k",
        "hours-TOTAL_FORMS": "1", "hours-INITIAL_FORMS": "0",
        "hours-0-person": "nobody", "hours-0-hours": "2",
    }  # fmt: skip
    answer = as_person(owner).post(f"/b/{build.slug}/log/new/", sent)
    assert answer.status_code == 422
    assert "Cut two." in answer.content.decode()
    assert not Entry.objects.exists()


class TestApi:
    @pytest.fixture
    def send(self, as_person, owner, build):
        """Send a body as it stands: `send("stages/", "{")`."""

        def send(address: str, body: str, method: str = "post"):
            whole = address if address.startswith("/") else f"/api/builds/{build.slug}/{address}"
            return getattr(as_person(owner), method)(whole, body, content_type="application/json")

        return send

    @pytest.mark.parametrize(
        "body",
        [
            "[" * 100_000,
            '{"a":' * 5000 + "1" + "}" * 5000,
            '{"supporter": ' + "[" * 300 + "]" * 300 + "}",
            '{"supporter": 1e400}',
            '{"note": "\\ud800"}',
            '{"\\ud800": 1}',
        ],
        ids=["lists", "objects", "deep", "endless", "half", "half a name"],
    )
    def test_json_that_cannot_be_kept_is_refused_with_what_is_wrong(self, send, body):
        answer = send("contributions/", body)
        assert answer.status_code == 400
        assert answer.json()["error"]["message"]

    def test_original_with_its_places_is_not_for_onlookers(self, as_person, onlooker, hand, photo):
        address = f"/api/builds/{photo.build.slug}/photos/{photo.pk}/original/"
        assert as_person(onlooker).get(address).status_code == 403
        answer = as_person(hand).get(address)
        assert answer.status_code == 200
        answer.close()

    def test_suppliers_are_for_those_who_see_the_money_as_on_the_page(
        self, as_person, build, hand, planner
    ):
        for address in (f"/api/builds/{build.slug}/suppliers/", f"/b/{build.slug}/suppliers/"):
            assert as_person(hand).get(address).status_code == 403
            assert as_person(planner).get(address).status_code == 200

    def test_build_is_kept_in_a_currency_that_there_is(self, send, build):
        answer = send(f"/api/builds/{build.slug}/", '{"currency": "QQQ"}', "patch")
        assert answer.status_code == 400
        assert "QQQ" in answer.json()["error"]["message"]

    def test_left_of_a_task_is_no_more_than_can_be_kept(self, send, make_task):
        answer = send(f"tasks/{make_task('1').pk}/left/", '{"minutes": 1' + "0" * 30 + "}")
        assert answer.status_code == 400

    @pytest.mark.parametrize(
        ("address", "body"),
        [
            ("tasks/", {"likely_minutes": 2**31 - 1, "high_minutes": 2**31 - 1}),
            ("tasks/", {"cure_minutes": 2**31 - 1}),
            ("tasks/", {"not_before": "9999-12-31"}),
            ("tasks/", {"not_before": "0001-01-01"}),
            ("links/", {"lag_minutes": 2**31 - 1}),
            ("links/", {"lag_minutes": -(2**31)}),
            ("days-off/", {"first": "2026-01-01", "last": "9999-12-31"}),
            ("days-off/", {"first": "2026-01-01", "last": "2036-01-01"}),
            ("entries/", {"day": "0001-01-01"}),
        ],
    )
    def test_row_that_no_plan_could_be_reckoned_with_is_refused(
        self, send, make_task, address, body
    ):
        one, two = make_task("1"), make_task("2")
        said = {
            "tasks/": {"stage": one.stage_id, "code": "3", "name": "x"},
            "links/": {"before": one.pk, "after": two.pk},
        }
        answer = send(address, json.dumps(said.get(address, {}) | body))
        assert answer.status_code == 400, answer.content
        assert answer.json()["error"]["message"]


def test_centuries_of_work_have_no_dates_but_their_pages_open(as_person, build, owner, make_task):
    before = None
    for number in range(100):
        task = make_task(str(number), 100_000)
        if before:
            Link.objects.create(build=build, before=before, after=task)
        before = task
    plan = plan_of(build)
    assert plan.launch is None
    assert "centuries" in plan.problems[0]
    client = as_person(owner)
    for page in ("", "plan/", "plan/network/", "plan/list/", "money/", "materials/"):
        assert client.get(f"/b/{build.slug}/{page}").status_code == 200, page


@pytest.mark.parametrize("year", [1500, 8999])
def test_photos_are_not_moved_into_another_century(as_person, build, owner, photo, year):
    address = f"/b/{build.slug}/photos/chosen/shift/"
    sent = {
        "photos": str(photo.pk), "first_at": photo.taken_at.isoformat(),
        "really_at": f"{year}-02-07T10:00",
    }  # fmt: skip
    as_person(owner).post(address, sent)
    taken_at = photo.taken_at
    photo.refresh_from_db()
    assert photo.taken_at == taken_at


@pytest.mark.parametrize("first_at", ["2026-02-07T10:00:00", "x", "", "2026-13-45"])
def test_shift_is_undone_only_from_a_moment_that_is_one(as_person, build, owner, photo, first_at):
    query = f"photos={photo.pk}&seconds=60&first_at={first_at}"
    answer = as_person(owner).post(f"/b/{build.slug}/photos/chosen/shift-back/?{query}")
    assert answer.status_code == 302
    taken_at = photo.taken_at
    photo.refresh_from_db()
    assert photo.taken_at == taken_at
