from __future__ import annotations

import datetime as dt

import pytest
import time_machine

from tasks.launch_records import explain_week, waiting_weeks
from tasks.models import Baseline
from tasks.order import order_of
from tasks.plan import plan_of
from tests.buildlog.api.conftest import api  # noqa: F401 (a fixture)

NOW = dt.datetime(2026, 3, 6, 11, tzinfo=dt.UTC)


@pytest.fixture(autouse=True)
def a_friday():
    with time_machine.travel(NOW, tick=False) as clock:
        yield clock


def test_a_baseline_is_made_read_and_deleted(api, build, owner, make_task):  # noqa: F811
    task = make_task("1", 6)
    client = api(owner)
    made = client.post("baselines/", {"name": "Spring"})
    assert made.status_code == 201
    assert made.json() | {"id": 0} == {
        "id": 0, "name": "Spring", "made_at": "2026-03-06T12:00:00+01:00", "who": "Olive",
        "launch": "2026-03-07T15:00:00+01:00", "launch_endless": "2026-03-07T15:00:00+01:00",
        "compared": True,
    }  # fmt: skip
    (listed,) = client.get("baselines/").json()["results"]
    assert listed == made.json()
    whole = client.get(f"baselines/{listed['id']}/").json()
    assert whole["tasks"] == [
        {
            "task": task.pk, "code": "1", "name": "Task 1", "stage": "Frames",
            "start": "2026-03-07T09:00:00+01:00", "finish": "2026-03-07T15:00:00+01:00",
            "likely_minutes": 360, "total_float": 0,
        }
    ]  # fmt: skip
    assert client.delete(f"baselines/{listed['id']}/").status_code == 204
    assert not Baseline.objects.exists()
    assert client.delete(f"baselines/{listed['id']}/").status_code == 404


def test_what_cannot_be_kept_is_refused(api, build, owner, hand, make_task):  # noqa: F811
    client = api(owner)
    assert client.post("baselines/", {"name": "Spring"}).status_code == 409
    make_task("1")
    for wrong in ({}, {"name": ""}, {"name": "x" * 81}, {"name": "x", "compared": "often"}):
        assert client.post("baselines/", wrong).status_code == 400
    assert client.post("baselines/", {"name": "Spring"}).status_code == 201
    assert api(hand).post("baselines/", {"name": "Mine"}).status_code == 403
    pk = Baseline.objects.get().pk
    assert client.patch(f"baselines/{pk}/", {"name": "Other"}).status_code == 405
    assert api(hand).delete(f"baselines/{pk}/").status_code == 403


def test_the_weeks_with_their_causes(api, build, owner, make_task, a_friday):  # noqa: F811
    task = make_task("1", 6)
    order_of(plan_of(build))
    a_friday.shift(dt.timedelta(days=7))
    task.likely_minutes = task.high_minutes = 12 * 60
    task.save()
    order_of(plan_of(build))
    client = api(owner)
    first, last = client.get("changes/").json()
    assert first | {"launch": ""} == {
        "day": "2026-03-06", "launch": "", "since": None, "days": 0, "causes": None,
    }  # fmt: skip
    assert (last["since"], last["causes"]) == ("2026-03-06", None)
    for pair in waiting_weeks(build):
        explain_week(*pair)
    last = client.get("changes/").json()[1]
    assert sum(cause["days"] for cause in last["causes"]) == last["days"] > 7
    hours = next(cause for cause in last["causes"] if cause["groups"] == ["hours"])
    assert hours["tasks"] == [task.pk]
    assert hours["words"] == "1 Task 1 takes 6 h more than guessed"
