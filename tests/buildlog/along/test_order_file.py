"""The order of work as CSV and JSON, from the page and from the API."""

from __future__ import annotations

import csv
import datetime as dt
import io
import json

import pytest
from django.urls import reverse
from django.utils import timezone

from buildlog.along.order_table import COLUMNS
from buildlog.lists.reading import read_table
from tasks import acts
from tasks.models import Doing, Link

pytestmark = pytest.mark.usefixtures("clock")


@pytest.fixture
def tasks(make_task, build):
    made = [
        make_task("1", hours=3, name="=1+1"),
        make_task("2", hours=3, cure_minutes=600),
        make_task("3", hours=3),
        make_task("4", hours=3, doing=Doing.LEFT_OUT),
    ]
    Link.objects.create(build=build, before=made[1], after=made[2])
    return made


@pytest.fixture
def get(build, as_person, hand):
    return lambda name: as_person(hand).get(reverse(name, args=[build.slug]))


def rows_of(answer) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))


def test_csv(tasks, get):
    answer = get("order-csv")
    assert answer["Content-Disposition"] == 'attachment; filename="tender-order-of-work.csv"'
    assert "no-store" in answer["Cache-Control"]
    rows = rows_of(answer)
    places = {row["Number"]: row["Place"] for row in rows}
    assert sorted(places.values()) == ["", "1", "2", "3"]
    assert places["4"] == "" and int(places["2"]) < int(places["3"])
    (second,) = [row for row in rows if row["Number"] == "2"]
    assert second["Begins"] == "2026-01-17 09:00"
    assert second["Cured"] == "2026-01-17 22:00"
    (third,) = [row for row in rows if row["Number"] == "3"]
    assert (third["Float hours"], third["Critical"], third["Spare hours"]) == ("0", "yes", "0")
    assert second["Time zone"] == "Europe/Paris"
    (first,) = [row for row in rows if row["Number"] == "1"]
    # With endless hands both begin on Saturday morning; with two only one of them can.
    assert first["Early start"] == "2026-01-17 09:00"
    assert first["Begins"] > second["Begins"]


def test_no_cell_runs_as_a_formula(tasks, get):
    rows = rows_of(get("order-csv"))
    assert "'=1+1" in [row["Task"] for row in rows]


def test_csv_reads_as_a_table(tasks, get):
    table = read_table(get("order-csv").content, frozenset(COLUMNS).__contains__)
    assert len(table.rows) == 4


def test_json_and_api_say_the_same(tasks, get, build, as_person, hand):
    answer = get("order-json")
    assert answer["Content-Disposition"] == 'attachment; filename="tender-order-of-work.json"'
    sheet = json.loads(answer.content)
    api = as_person(hand).get(f"/api/builds/{build.slug}/order/").json()
    assert sheet == api
    assert [row["place"] for row in sheet["tasks"]] == [None, 1, 2, 3]
    assert sheet["time_zone"] == "Europe/Paris"
    third = sheet["tasks"][-1]
    assert dt.datetime.fromisoformat(third["cured"]) == dt.datetime.fromisoformat(sheet["launch"])
    assert third["spare"] == 0
    assert third["start"].endswith("+01:00")


def test_what_is_done_comes_first_as_it_was(tasks, get, owner, clock):
    acts.start(tasks[2], owner, timezone.now())
    clock.shift(dt.timedelta(hours=2))
    acts.finish(tasks[2], owner, timezone.now())
    sheet = json.loads(get("order-json").content)
    done = sheet["tasks"][0]
    assert (done["id"], done["state"], done["place"]) == (tasks[2].pk, "done", None)
    assert done["start"] == "2026-01-12T08:00:00+01:00"
    assert done["spare"] is None


def test_without_shop_hours_there_are_only_endless_dates(tasks, get, build):
    build.shop_hours.all().delete()
    sheet = json.loads(get("order-json").content)
    assert (sheet["launch"], sheet["made_at"], sheet["launch_endless"]) == (None, None, None)
    assert sheet["problems"]
    assert {row["start"] for row in sheet["tasks"]} == {None}
    assert all(row["early_start"] for row in sheet["tasks"])
    assert len(rows_of(get("order-csv"))) == 4


def test_a_build_without_tasks(build, get):
    assert json.loads(get("order-json").content)["tasks"] == []
    assert rows_of(get("order-csv")) == []


def test_only_the_crew(build, tasks, as_person, stranger, onlooker):
    for name in ("order-csv", "order-json"):
        address = reverse(name, args=[build.slug])
        assert as_person(stranger).get(address).status_code == 404
        assert as_person(onlooker).get(address).status_code == 200
