"""What the endpoints do, and that their rules are those of the pages."""

import datetime as dt

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from buildlog.demo.pictures import photo
from buildlog.journal.models import Entry, Photo
from buildlog.materials.models import StockMove
from tasks.models import Build, Link, Task

NOON = dt.datetime(2026, 3, 7, 12, tzinfo=dt.UTC)


def errors(answer):
    return answer.json()["error"]


def test_task_comes_to_life_and_is_planned(api, build, owner, stage):
    client = api(owner)
    sent = {
        "code": "T1", "name": "Cut frames", "stage": stage.pk, "low_minutes": 60,
        "likely_minutes": 120, "high_minutes": 180,
    }  # fmt: skip
    made = client.post("tasks/", sent)
    assert made.status_code == 201, made.json()
    plan = client.get("plan/").json()
    assert plan["tasks"][0]["code"] == "T1"
    assert plan["tasks"][0]["state"] == "ready"
    assert plan["critical_path"] == [made.json()["id"]]
    assert plan["launch"]
    assert plan["says"]


@pytest.mark.parametrize(
    ("change", "field", "says"),
    [
        ({"low_minutes": 500}, "", "Hours must rise"),  # a rule across fields
        ({"code": "1"}, "", "There is a task with that number already."),  # a rule across rows
        ({"hands": 0}, "hands", "greater than or equal to 1"),  # a rule of one field
        ({"name": ""}, "name", "blank"),
        ({"colour": "red"}, "colour", "There is no such field."),
        ({"likely_minutes": "soon"}, "likely_minutes", "valid integer"),
    ],
)
def test_bad_task_is_refused_with_field_and_rule(
    api, build, owner, stage, make_task, change, field, says
):
    make_task("1")
    sent = {
        "code": "2", "name": "x", "stage": stage.pk, "low_minutes": 60, "likely_minutes": 120,
        "high_minutes": 180,
    }  # fmt: skip
    answer = api(owner).post("tasks/", sent | change)
    assert answer.status_code == 400
    assert says in errors(answer)["fields"][field][0]["message"]
    assert errors(answer)["code"] == "invalid"
    assert Task.objects.count() == 1


def test_patch_keeps_what_is_not_sent_and_checks_the_whole(api, build, owner, make_task):
    task = make_task("1", hours=2, notes="keep me")
    client = api(owner)
    assert client.patch(f"tasks/{task.pk}/", {"hands": 2}).status_code == 200
    task.refresh_from_db()
    assert (task.hands, task.notes) == (2, "keep me")
    assert client.patch(f"tasks/{task.pk}/", {"likely_minutes": 1}).status_code == 400


def test_ring_is_refused_with_its_path(api, build, owner, make_task):
    a, b, c = make_task("1"), make_task("2"), make_task("3")
    client = api(owner)
    for before, after in ((a, b), (b, c)):
        answer = client.post("links/", {"before": before.pk, "after": after.pk})
        assert answer.status_code == 201, answer.json()
    answer = client.post("links/", {"before": c.pk, "after": a.pk})
    assert answer.status_code == 400
    said = errors(answer)["message"]
    assert all(word in said for word in ("Task 1", "Task 2", "Task 3"))
    assert Link.objects.count() == 2


def test_same_link_and_link_to_itself_are_refused(api, build, owner, make_task):
    a, b = make_task("1"), make_task("2")
    client = api(owner)
    client.post("links/", {"before": a.pk, "after": b.pk})
    assert client.post("links/", {"before": a.pk, "after": b.pk}).status_code == 400
    assert client.post("links/", {"before": a.pk, "after": a.pk}).status_code == 400


def test_start_stop_finish_and_undo(api, build, owner, make_task):
    task = make_task("1")
    client = api(owner)
    assert client.post(f"tasks/{task.pk}/start/").json()["kind"] == "start"
    assert client.get("work/").json()["results"][0]["minutes"] is None
    assert client.post(f"tasks/{task.pk}/stop/").status_code == 200
    act = client.post(f"tasks/{task.pk}/finish/").json()
    assert client.get("plan/").json()["tasks"][0]["state"] == "done"
    assert client.post(f"tasks/{task.pk}/undo/", {"act": act["id"]}).json()["undone_at"]
    assert client.get("plan/").json()["tasks"][0]["state"] == "in hand"
    answer = client.post(f"tasks/{task.pk}/undo/", {"act": 999})
    assert answer.status_code == 400


def test_what_cannot_be_done_now_is_a_conflict_with_the_reason(api, build, owner, make_task):
    task = make_task("1")
    client = api(owner)
    client.post(f"tasks/{task.pk}/finish/")
    answer = client.post(f"tasks/{task.pk}/start/")
    assert answer.status_code == 409
    assert errors(answer)["code"] == "conflict"
    assert errors(answer)["message"]


def test_task_with_hours_or_parts_is_not_deleted(api, build, owner, make_task, make_part, ply):
    task = make_task("1")
    make_part("Side", ply, task, length_mm=100, width_mm=100)
    client = api(owner)
    assert client.delete(f"tasks/{task.pk}/").status_code == 409
    assert client.delete(f"materials/{ply.pk}/").status_code == 409
    assert client.delete(f"stages/{task.stage_id}/").status_code == 409
    client.delete(f"parts/{task.parts.get().pk}/")
    assert client.delete(f"tasks/{task.pk}/").status_code == 204


def test_purchase_with_lines_goes_into_stock_and_its_correction_too(
    api, build, owner, ply, supplier
):
    client = api(owner)
    sent = {
        "supplier": supplier.pk, "ordered_on": "2026-03-02", "arrived_on": "2026-03-04",
        "paid_on": "2026-03-02", "currency": "eur", "freight": "25.00",
        "lines": [{"material": ply.pk, "quantity": "2", "net": "178", "tax": "37.38"}],
    }  # fmt: skip
    made = client.post("purchases/", sent)
    assert made.status_code == 201, made.json()
    assert made.json()["total"] == 240.38
    pk = made.json()["id"]
    lines = [{"material": ply.pk, "quantity": "1", "net": "89"}]
    assert client.patch(f"purchases/{pk}/", {"lines": lines}).status_code == 200
    assert sum(move.quantity for move in StockMove.objects.all()) == 1
    assert client.get("cost/").json()["sums"]["spent"] == "114.00"
    assert client.delete(f"purchases/{pk}/").status_code == 204
    assert sum(move.quantity for move in StockMove.objects.all()) == 0


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"lines": []}, "at least one line"),
        ({"lines": [{"quantity": "1", "net": "1"}]}, "Choose a material"),
        ({"currency": "QQQ"}, "QQQ"),
        ({"arrived_on": "2026-01-01"}, "before it was ordered"),
    ],
)
def test_bad_purchase(api, build, owner, ply, supplier, change, says):
    sent = {
        "supplier": supplier.pk, "ordered_on": "2026-03-02", "currency": "EUR",
        "lines": [{"material": ply.pk, "quantity": "2", "net": "178"}],
    }  # fmt: skip
    answer = api(owner).post("purchases/", sent | change)
    assert answer.status_code == 400
    assert says in errors(answer)["message"]


def test_stock_is_moved_and_counted_but_never_edited(api, build, hand, ply):
    client = api(hand)
    sent = {"material": ply.pk, "day": "2026-03-02", "kind": "counted", "amount": "5"}
    assert client.post("stock-moves/", sent).json()["quantity"] == "5.0000"
    sent |= {"kind": "used", "amount": "2"}
    row = client.post("stock-moves/", sent).json()
    assert row["quantity"] == "-2.0000"
    assert client.patch(f"stock-moves/{row['id']}/", {"amount": "1"}).status_code == 405
    assert client.post("stock-moves/", sent | {"kind": "bought"}).status_code == 400


def test_needs_show_prices_only_to_those_who_see_money(
    api, build, owner, hand, ply, make_task, make_part
):
    make_part("Side", ply, make_task("1"), length_mm=1000, width_mm=500)
    api(owner).post("prices/", {"material": ply.pk, "day": "2026-03-02", "net": "90",
                                "currency": "EUR"})  # fmt: skip
    assert api(owner).get("needs/").json()[0]["price"] == 112.5
    row = api(hand).get("needs/").json()[0]
    assert (row["to_buy"], row["price"], row["cost"]) == ("1.0000", None, None)


def test_entry_with_hours_sent_twice_is_one(api, build, owner, make_task):
    task = make_task("1")
    client = api(owner)
    sent = {
        "day": "2026-03-07", "text": "Cut two.", "tasks": [task.pk], "air_c": "11.5", "key": "k1",
        "hours": [{"person": owner.pk, "task": task.pk, "minutes": 90}],
    }  # fmt: skip
    assert client.post("entries/", sent).status_code == 201
    assert client.post("entries/", sent).status_code == 200
    assert Entry.objects.count() == 1
    assert client.get("plan/").json()["tasks"][0]["logged_minutes"] == 90


def test_stale_change_of_an_entry_is_a_conflict(api, build, owner):
    client = api(owner)
    row = client.post("entries/", {"day": "2026-03-07", "text": "one"}).json()
    url = f"entries/{row['id']}/"
    assert client.patch(url, {"text": "two"}).status_code == 400  # which version was read?
    assert client.patch(url, {"text": "two", "version": row["version"]}).status_code == 200
    stale = client.patch(url, {"text": "three", "version": row["version"]})
    assert (stale.status_code, errors(stale)["code"]) == (409, "stale")
    assert Entry.objects.get().text == "two"


def test_photo_is_taken_in_once_and_given_back_untouched(api, build, owner):
    data = photo("frames", 0.5, 1, NOON)
    client = api(owner)

    def upload(content, name="frame.jpg"):
        file = SimpleUploadedFile(name, content, "image/jpeg")
        return client.post("photos/", {"file": file}, format="multipart")

    first = upload(data)
    assert first.status_code == 201, first.json()
    assert upload(data).status_code == 200
    assert Photo.objects.count() == 1
    original = client.get(f"photos/{first.json()['id']}/original/")
    assert b"".join(original.streaming_content) == data
    refused = upload(b"<html>no</html>")
    assert refused.status_code == 400
    assert errors(refused)["fields"]["file"][0]["message"]


def test_update_is_shown_and_taken_back(api, build, owner):
    client = api(owner)
    row = client.post("updates/", {"title": "Hello", "day": "2026-03-07"}).json()
    assert row["shown"] is False
    assert client.post(f"updates/{row['id']}/show/").json()["shown"] is True
    assert client.post(f"updates/{row['id']}/take-back/").json()["shown"] is False


def test_new_build_by_api_has_its_owner(api, owner, build):
    answer = api(owner).post("/api/builds/", {"name": "Skiff", "time_zone": "Europe/Oslo"})
    assert answer.status_code == 201, answer.json()
    assert answer.json()["role"] == "owner"
    assert Build.objects.get(slug=answer.json()["slug"]).crew.get().person == owner
    bad = api(owner).post("/api/builds/", {"name": "Skiff", "time_zone": "Mars/Olympus"})
    assert bad.status_code == 400


def test_lists_are_paged_and_filtered(api, build, owner, make_task):
    for n in range(7):
        make_task(str(n), hands=1 + n % 2)
    answer = api(owner).get("tasks/?per=5").json()
    assert (answer["count"], len(answer["results"]), bool(answer["next"])) == (7, 5, True)
    assert api(owner).get("tasks/?hands=2").json()["count"] == 3


@pytest.mark.parametrize("body", ["", "{", "[]", "null", '"x"', "1"])
def test_a_body_that_is_no_object_is_an_error_and_not_a_crash(api, build, owner, body):
    client = api(owner)
    answer = client.generic("POST", "tasks/", body, content_type="application/json")
    assert answer.status_code == 400
    assert errors(answer)["message"]


@pytest.mark.parametrize(
    "name", ["tasks", "links", "parts", "purchases", "entries", "photos", "stock-moves", "updates"]
)
def test_lists_take_the_same_queries_whatever_the_rows(
    api, build, owner, ply, supplier, make_task, make_part, name, django_assert_max_num_queries
):
    client = api(owner)
    for n in range(12):
        task = make_task(str(n))
        if n:
            Link.objects.create(build=build, before=last, after=task)  # noqa: F821
        last = task  # noqa: F841
        make_part("Side", ply, task, length_mm=100, width_mm=100)
        client.post("entries/", {"day": "2026-03-07", "tasks": [task.pk]})
        client.post("updates/", {"title": "x", "day": "2026-03-07"})
        client.post("stock-moves/", {"material": ply.pk, "day": "2026-03-02", "kind": "used",
                                     "amount": "1"})  # fmt: skip
        client.post("purchases/", {
            "supplier": supplier.pk, "ordered_on": "2026-03-02", "currency": "EUR",
            "lines": [{"material": ply.pk, "quantity": "2", "net": "178"}] * 2,
        })  # fmt: skip
    with django_assert_max_num_queries(8):
        assert client.get(f"{name}/").status_code == 200
