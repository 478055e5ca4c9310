from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.urls import reverse

from tasks import acts
from tasks.models import Build, Link, Stage, Task, Work

PARIS = ZoneInfo("Europe/Paris")
NOW = dt.datetime(2026, 11, 14, 12, tzinfo=PARIS)


def new_task(in_stage, **more) -> dict[str, object]:
    return {
        "name": "Glue the stem", "stage": in_stage.pk, "code": "T08", "low_minutes": "3",
        "likely_minutes": "4 h 30", "high_minutes": "8", "hands": "2", "cure_minutes": "24 h",
        "unbroken": "on", "not_before": "2026-12-01", "notes": "Clamp to both sides.",
    } | more  # fmt: skip


def test_a_task_is_added_last_in_its_stage(build, stage, make_task, by_planner):
    first = make_task("T07", order=4)
    answer = by_planner.post(reverse("new-task", args=[build.slug]), new_task(stage))
    task = Task.objects.get(code="T08")
    assert answer["Location"] == reverse("task", args=[build.slug, task.pk])
    assert (task.low_minutes, task.likely_minutes, task.high_minutes) == (180, 270, 480)
    assert (task.hands, task.unbroken, task.cure_minutes) == (2, True, 1440)
    assert task.not_before == dt.date(2026, 12, 1)
    assert task.order > first.order


def test_the_next_number_is_proposed_as_the_others_are_written(build, make_task, by_planner):
    make_task("T07")
    make_task("B2")
    page = by_planner.get(reverse("new-task", args=[build.slug]))
    assert page.context["form"]["code"].value() == "T08"


def test_another_task_can_follow_in_the_same_stage(build, stage, by_planner):
    sent = new_task(stage, another="yes")
    answer = by_planner.post(reverse("new-task", args=[build.slug]), sent, follow=True)
    assert answer.context["form"]["stage"].value() == stage.pk


def test_without_a_stage_the_way_leads_to_the_stages(build, by_planner):
    answer = by_planner.get(reverse("new-task", args=[build.slug]), follow=True)
    assert answer.redirect_chain[-1][0] == reverse("stages", args=[build.slug])
    assert "Name the first stage" in answer.text


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"low_minutes": "9"}, "Hours must rise: low, then likely, then high."),
        ({"likely_minutes": "some"}, "“some” is not a number of hours"),
        ({"low_minutes": "-1"}, "“-1” is less than no hours"),
        ({"hands": "0"}, "greater than or equal to 1"),
        ({"code": "T07"}, "There is a task with that number already."),
        ({"name": " "}, "This field is required"),
        ({"not_before": "31/31/2026"}, "Enter a valid date"),
        ({"stage": ""}, "This field is required"),
    ],
)
def test_what_cannot_be_is_refused_and_all_that_was_typed_kept(
    build, stage, make_task, by_planner, wrong, said
):
    make_task("T07")
    answer = by_planner.post(reverse("new-task", args=[build.slug]), new_task(stage, **wrong))
    assert answer.status_code == 422
    assert said in answer.text
    assert "Clamp to both sides." in answer.text
    assert Task.objects.count() == 1


def test_a_stage_of_another_build_is_no_choice(build, stage, by_planner, stranger):
    foreign = Stage.objects.create(build=Build.objects.get(slug="other"), name="Theirs")
    answer = by_planner.post(reverse("new-task", args=[build.slug]), new_task(foreign))
    assert answer.status_code == 422
    assert "Theirs" not in answer.text


def test_an_edit_keeps_what_was_logged(build, make_task, by_planner, owner, fields):
    task = make_task("1", 2)
    page = by_planner.get(reverse("edit-task", args=[build.slug, task.pk]))
    sent = fields(page)
    acts.start(task, owner, NOW)  # while the form is open
    answer = by_planner.post(
        reverse("edit-task", args=[build.slug, task.pk]), sent | {"name": "Plane the stem"}
    )
    assert answer.status_code == 302
    task.refresh_from_db()
    assert (task.name, task.started_at) == ("Plane the stem", NOW)


def test_a_task_moved_to_another_stage_comes_last_there(build, make_task, by_planner, fields):
    other = Stage.objects.create(build=build, name="Planking", order=5)
    there, task = make_task("1", stage=other, order=3), make_task("2")
    address = reverse("edit-task", args=[build.slug, task.pk])
    by_planner.post(address, fields(by_planner.get(address)) | {"stage": other.pk})
    task.refresh_from_db()
    assert (task.stage, task.order > there.order) == (other, True)


def test_a_stale_save_is_refused_with_both_texts_and_the_next_one_kept(
    build, make_task, by_planner, by_owner, fields
):
    task = make_task("1", 2, notes="first")
    address = reverse("edit-task", args=[build.slug, task.pk])
    sent = fields(by_planner.get(address)) | {"notes": "mine, at length"}
    theirs = fields(by_owner.get(address)) | {"notes": "theirs", "likely_minutes": "3",
                                              "high_minutes": "3"}  # fmt: skip
    assert by_owner.post(address, theirs).status_code == 302

    refused = by_planner.post(address, sent)
    assert refused.status_code == 409
    assert "changed meanwhile" in refused.text
    shown = [(d.label, d.typed, d.there_now) for d in refused.context["form"].differences]
    assert shown == [
        ("Likely", "2 h", "3 h"), ("High", "2 h", "3 h"), ("Notes", "mine, at length", "theirs"),
    ]  # fmt: skip
    task.refresh_from_db()
    assert task.notes == "theirs"

    again = fields(refused)
    assert again["notes"] == "mine, at length"
    assert by_planner.post(address, again).status_code == 302
    task.refresh_from_db()
    assert task.notes == "mine, at length"


def test_the_same_change_from_two_tabs_is_no_quarrel(build, make_task, by_planner, fields):
    task = make_task("1", 2)
    address = reverse("edit-task", args=[build.slug, task.pk])
    sent = fields(by_planner.get(address)) | {"name": "Plane"}
    assert by_planner.post(address, sent).status_code == 302
    assert by_planner.post(address, sent).status_code == 302


def test_tasks_change_places(build, make_task, by_planner):
    one, two, three = make_task("1"), make_task("2"), make_task("3")  # all of order 0
    move = reverse("move-task", args=[build.slug, three.pk])
    by_planner.post(move, {"way": "up"})
    assert list(Task.objects.all()) == [one, three, two]
    by_planner.post(move, {"way": "up"})
    by_planner.post(move, {"way": "up"})  # at the top already
    assert list(Task.objects.all()) == [three, one, two]
    answer = by_planner.post(move, {"way": "down", "back": "https://elsewhere.example/"})
    assert list(Task.objects.all()) == [one, three, two]
    assert answer["Location"] == reverse("plan-list", args=[build.slug])


def test_moving_makes_a_new_plan(build, make_task, by_planner):
    make_task("1")
    task = make_task("2")
    before = Build.objects.get().plan_version
    by_planner.post(reverse("move-task", args=[build.slug, task.pk]), {"way": "up"})
    assert Build.objects.get().plan_version > before


def test_a_task_is_deleted_with_its_links(build, make_task, by_planner):
    task, other = make_task("1"), make_task("2")
    Link.objects.create(build=build, before=task, after=other)
    address = reverse("delete-task", args=[build.slug, task.pk])
    assert "Its 1 link go" in by_planner.get(address).text
    by_planner.post(address)
    assert list(Task.objects.all()) == [other]
    assert not Link.objects.exists()


def test_a_task_with_hours_is_not_deleted_and_the_page_says_why(build, make_task, by_planner):
    task = make_task("1")
    Work.objects.create(build=build, task=task, who="O", day=dt.date(2026, 11, 7), minutes=90)
    address = reverse("delete-task", args=[build.slug, task.pk])
    answer = by_planner.post(address, follow=True)
    assert "1 Task 1 cannot be deleted: 1 h 30 logged hang on it." in answer.text
    assert Task.objects.exists()


@time_machine.travel(NOW, tick=False)
def test_when_it_was_done_can_be_said_afterwards(build, make_task, by_planner, fields):
    task = make_task("1")
    address = reverse("task-dates", args=[build.slug, task.pk])
    page = by_planner.get(address)
    sent = fields(page) | {"started_at": "2026-11-07T09:00", "finished_at": "2026-11-08T13:30"}
    assert by_planner.post(address, sent).status_code == 302
    task.refresh_from_db()
    assert task.started_at == dt.datetime(2026, 11, 7, 9, tzinfo=PARIS)
    assert task.finished_at == dt.datetime(2026, 11, 8, 13, 30, tzinfo=PARIS)
    assert 'value="2026-11-08T13:30"' in by_planner.get(address).text


@time_machine.travel(NOW, tick=False)
@pytest.mark.parametrize(
    ("started", "finished", "said"),
    [
        ("2026-11-08T09:00", "2026-11-07T09:00", "It cannot finish before it started."),
        ("", "2026-11-07T09:00", "What is finished was started: say when."),
        ("2026-11-14T12:01", "", "That is still to come."),
    ],
)
def test_dates_that_cannot_be_are_refused(
    build, make_task, by_planner, fields, started, finished, said
):
    task = make_task("1")
    address = reverse("task-dates", args=[build.slug, task.pk])
    sent = fields(by_planner.get(address)) | {"started_at": started, "finished_at": finished}
    answer = by_planner.post(address, sent)
    assert answer.status_code == 422
    assert said in answer.text


@time_machine.travel(NOW, tick=False)
def test_a_task_with_a_running_clock_is_not_finished_on_the_side(
    build, make_task, by_planner, owner, fields
):
    task = make_task("1")
    acts.start(task, owner, NOW)
    address = reverse("task-dates", args=[build.slug, task.pk])
    sent = fields(by_planner.get(address)) | {"finished_at": "2026-11-14T12:00"}
    assert "A clock is running on it" in by_planner.post(address, sent).text


@pytest.mark.parametrize("count", [3, 30])
@pytest.mark.parametrize("name", ["new-task", "edit-task", "task-links", "delete-task"])
def test_no_page_asks_more_of_a_longer_plan(
    build, make_task, by_planner, name, count, django_assert_max_num_queries
):
    tasks = [make_task(str(n)) for n in range(count)]
    for other in tasks[1:]:
        Link.objects.create(build=build, before=tasks[0], after=other)
    args = [build.slug] if name == "new-task" else [build.slug, tasks[0].pk]
    with django_assert_max_num_queries(18):
        assert by_planner.get(reverse(name, args=args)).status_code == 200
