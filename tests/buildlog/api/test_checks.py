from __future__ import annotations

from tasks.models import Link


def checks_of(answer) -> dict:
    return {one["key"]: one for one in answer.json()["checks"]}


def test_each_check_comes_with_its_parts_and_faults(api, build, owner, make_task):
    one, two, alone = make_task("1"), make_task("2"), make_task("3", 5)
    link = Link.objects.create(build=build, before=one, after=two, lag_minutes=-60)
    answer = api(owner).get("checks/")
    assert answer.status_code == 200
    logic, leads = checks_of(answer)["logic"], checks_of(answer)["leads"]
    assert (logic["point"], logic["verdict"], logic["count"], logic["base"]) == (1, "fails", 3, 3)
    assert (logic["limit"], logic["share"], logic["of_count"]) == (0.05, 1.0, False)
    assert [fault["task"] for fault in logic["faults"]] == [one.pk, two.pk, alone.pk]
    assert leads["faults"] == [
        {"task": None, "link": link.pk, "how": ["a negative lag"], "minutes": -60}
    ]
    assert checks_of(answer)["high-float"]["verdict"] == "information"
    assert checks_of(answer)["bei"]["why"] == "no baseline"
    assert answer.json()["day_minutes"] == 300
    assert [one["number"] for one in answer.json()["practices"]] == list(range(1, 11))


def test_what_cannot_be_planned_has_problems_and_no_checks(api, build, owner, make_task):
    one, two = make_task("1"), make_task("2")
    for before, after in ((one, two), (two, one)):
        Link.objects.create(build=build, before=before, after=after)
    answer = api(owner).get("checks/").json()
    assert (answer["checks"], answer["practices"], answer["day_minutes"]) == ([], [], None)
    assert "ring" in answer["problems"][0]


def test_checks_are_not_written(api, build, owner):
    assert api(owner).post("checks/", {}).status_code == 405
