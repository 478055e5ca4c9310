"""Lists in and out by the API: what the pages do."""

import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from tasks.models import Task
from tests.buildlog.lists.conftest import sample


@pytest.fixture
def bring(api, owner, build):
    def bring(kind, content, who=owner, **more):
        file = SimpleUploadedFile(f"{kind}.csv", content, "text/csv")
        sent = {"file": file} | more
        return api(who).post(f"lists/{kind}/bring-in/", sent, format="multipart")

    return bring


def test_tidy_lists_come_in_and_again_change_nothing(bring):
    for name in ("materials", "tasks", "links", "parts", "purchases", "log"):
        answer = bring(name, sample(f"tidy/{name}.csv"))
        assert answer.status_code == 200, answer.json()
        assert answer.json()["written"]
        assert answer.json()["faults"] == []
    again = bring("tasks", sample("tidy/tasks.csv")).json()
    assert (again["new"], again["changed"], again["unchanged"]) == (0, 0, 16)


def test_faults_stop_it_all_and_are_named_by_row_column_and_rule(bring):
    answer = bring("tasks", sample("messy/jobs.csv"))
    assert answer.status_code == 409
    assert not answer.json()["written"]
    assert {"row", "column", "rule", "message", "text"} == set(answer.json()["faults"][0])
    assert not Task.objects.exists()
    assert bring("tasks", sample("messy/jobs.csv"), leave_out="true").json()["written"]
    assert Task.objects.exists()


def test_only_looking_writes_nothing(bring):
    answer = bring("tasks", sample("tidy/tasks.csv"), only_look="true")
    assert (answer.status_code, answer.json()["new"]) == (200, 16)
    assert not Task.objects.exists()


@pytest.mark.parametrize(
    "answers", ["[]", '{"colour": "red"}', '{"columns": []}', '{"units": {"l": 3}}', "{"]
)
def test_answers_of_a_wrong_shape_are_refused(bring, answers):
    answer = bring("tasks", sample("tidy/tasks.csv"), answers=answers)
    assert answer.status_code == 400
    assert answer.json()["error"]["fields"]["answers"]


def test_an_open_question_is_told_and_can_be_answered(bring):
    asked = bring("purchases", sample("messy/spent.csv"), leave_out="true")
    assert asked.status_code == 409
    assert asked.json()["open"]
    told = bring(
        "purchases", sample("messy/spent.csv"), leave_out="true",
        answers=json.dumps({"order": "dmy"}),
    )  # fmt: skip
    assert told.json()["written"], told.json()


def test_what_is_no_table_is_refused(bring):
    assert bring("tasks", b"\x89PNG\r\n\x1a\n\0\0\0").status_code == 400


def test_list_goes_out_as_it_came(api, owner, bring):
    bring("tasks", sample("tidy/tasks.csv"))
    answer = api(owner).get("lists/tasks/file/")
    assert answer["Content-Type"].startswith("text/csv")
    assert bring("tasks", answer.content).json()["unchanged"] == 16
    assert api(owner).get("lists/tasks/file/?form=xlsx").content[:2] == b"PK"
    assert api(owner).get("lists/tasks/file/?form=odd").status_code == 400
    assert api(owner).get("lists/nothing/file/").status_code == 404


def test_rights_are_those_of_the_kind(api, bring, build, hand, planner):
    assert bring("tasks", sample("tidy/tasks.csv"), who=hand).status_code == 403
    assert bring("tasks", sample("tidy/tasks.csv"), who=planner).status_code == 200
    assert api(hand).get("lists/purchases/file/").status_code == 403
    kinds = {row["key"]: row for row in api(hand).get("lists/").json()}
    assert "purchases" not in kinds
    assert not kinds["tasks"]["may_bring_in"]
