"""The sheet “What changed”, and the baselines that are kept there."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

import pytest
import time_machine

from buildlog.background.jobs import run_open_jobs
from buildlog.background.models import Job
from tasks.baselines import baseline_of, keep_baseline
from tasks.models import Baseline, DayOff, LaunchRecord, Link
from tests.queries import noted_queries

URL = "/b/tender/plan/changes/"
NOW = dt.datetime(2026, 3, 6, 11, tzinfo=dt.UTC)
WEEK = dt.timedelta(days=7)


@pytest.fixture(autouse=True)
def a_friday(monkeypatch):
    monkeypatch.setattr("buildlog.ahead.jobs.MOST_SECONDS", 0.05)
    with time_machine.travel(NOW, tick=False) as clock:
        yield clock


@pytest.fixture
def tasks(make_task, build):
    one, two = make_task("F1", 6, name="Cut frames"), make_task("F2", 4, name="Fit <the> frames")
    Link.objects.create(build=build, before=one, after=two)
    return one, two


def page(client, query=""):
    answer = client.get(URL + query)
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def test_who_may(as_person, build, tasks, owner, planner, hand, onlooker, stranger):
    for person in (owner, planner, hand, onlooker):
        assert as_person(person).get(URL).status_code == 200
    assert as_person(stranger).get(URL).status_code == 404
    for person, code in ((hand, 403), (onlooker, 403), (stranger, 404)):
        client = as_person(person)
        assert client.post(URL + "keep/", {"name": "x"}).status_code == code
        assert client.post(URL + "1/compare/").status_code == code
        assert client.get(URL + "1/delete/").status_code == code
        assert client.post(URL + "1/delete/").status_code == code
    assert "Keep it" not in page(as_person(hand))
    assert "Keep it" in page(as_person(planner))


def test_without_tasks_or_hours_it_says_what_is_missing(as_person, owner, build, make_task):
    assert "No tasks yet" in page(as_person(owner))
    make_task("1")
    build.shop_hours.all().delete()
    build.touch_plan()
    shown = page(as_person(owner))
    assert "There is no launch date yet" in shown
    assert "Keep it" not in shown


def test_the_first_visit_keeps_the_day(as_person, owner, build, tasks):
    shown = page(as_person(owner))
    assert LaunchRecord.objects.get().day == NOW.date()
    assert "The launch is kept from today on" in shown
    assert "first kept" in shown
    assert "None kept yet" in shown


def test_a_week_with_its_causes(as_person, owner, build, tasks, a_friday):
    client = as_person(owner)
    page(client)
    tasks[1].likely_minutes = tasks[1].high_minutes = 14 * 60
    tasks[1].save()
    DayOff.objects.create(
        build=build, first=dt.date(2026, 3, 21), last=dt.date(2026, 3, 22), reason="away & off"
    )
    a_friday.shift(WEEK)
    assert "The causes are being worked out" in page(client)
    assert Job.objects.filter(kind="look-ahead").exists()
    run_open_jobs()
    shown = page(client)
    assert "being worked out" not in shown
    task = f'<a href="/b/tender/tasks/{tasks[1].pk}/">F2 Fit &lt;the&gt; frames</a>'
    assert f"{task} takes 10 h more than guessed" in shown
    assert "away &amp; off 21–22 Mar" in shown
    assert "<svg" in shown and "The launch, week by week" in shown
    tasks[1].delete()
    assert f"/tasks/{tasks[1].pk}/" not in page(client)


def past_weeks(build, count):
    """So many weeks before today's record, each put down to its causes already."""
    packed = LaunchRecord.objects.get().packed
    for ago in range(1, count + 1):
        LaunchRecord.objects.create(
            build=build, day=NOW.date() - WEEK * ago, made_at=NOW, launch=NOW + WEEK,
            packed=packed, causes=[],
        )  # fmt: skip
    for before, row in pairwise(LaunchRecord.objects.all()):
        LaunchRecord.objects.filter(pk=row.pk).update(since=before, causes=[])


def test_only_the_newest_weeks_are_shown_unless_all_are_asked_for(as_person, owner, build, tasks):
    client = as_person(owner)
    page(client)
    past_weeks(build, 19)
    assert "8 earlier weeks" in page(client)
    assert page(client).count('data-label="Moved"') == 12
    assert page(client, "?all=yes").count('data-label="Moved"') == 20


def test_a_baseline_is_kept_chosen_and_deleted(as_person, owner, planner, build, tasks):
    client = as_person(planner)
    answer = client.post(URL + "keep/", {"name": "  Before   winter ", "compared": "on"})
    assert (answer.status_code, answer["Location"]) == (302, URL)
    first = Baseline.objects.get()
    assert (first.name, first.by) == ("Before winter", planner)
    assert "The plan is kept as “Before winter”." in page(client)
    client.post(URL + "keep/", {"name": "Spring"})
    assert baseline_of(build) == first
    second = Baseline.objects.get(name="Spring")
    client.post(f"{URL}{second.pk}/compare/")
    assert baseline_of(build) == second
    warning = client.get(f"{URL}{second.pk}/delete/").content.decode()
    assert "cannot be had back" in warning
    assert Baseline.objects.count() == 2
    assert client.post(f"{URL}{second.pk}/delete/").status_code == 302
    assert client.post(f"{URL}{second.pk}/delete/").status_code == 302  # a second click
    assert baseline_of(build) == first


@pytest.mark.parametrize("name", ["", "   ", "x" * 81, "a\0b"])
def test_a_name_that_cannot_be_is_refused_and_stays_in_the_form(
    as_person, owner, build, tasks, name
):  # fmt: skip
    answer = as_person(owner).post(URL + "keep/", {"name": name})
    assert answer.status_code == 422
    assert not Baseline.objects.exists()
    if name.strip() and "\0" not in name:
        assert name in answer.content.decode()


def test_a_name_that_is_taken_is_refused(as_person, owner, planner, build, tasks):
    keep_baseline(build, "Spring", planner)
    answer = as_person(owner).post(URL + "keep/", {"name": "Spring"})
    assert answer.status_code == 422
    assert "There is a baseline of that name already" in answer.content.decode()


def test_baselines_of_another_build_do_not_exist(as_person, owner, build, tasks, stranger):
    foreign = Baseline.objects.create(
        build=stranger.crew_of.get().build, name="Theirs", made_at=NOW, launch=NOW,
        launch_endless=NOW, rows=[],
    )  # fmt: skip
    client = as_person(owner)
    assert client.post(f"{URL}{foreign.pk}/compare/").status_code == 404
    assert client.get(f"{URL}{foreign.pk}/delete/").status_code == 404
    client.post(f"{URL}{foreign.pk}/delete/")
    assert Baseline.objects.filter(pk=foreign.pk).exists()


def test_slip_and_float_against_the_baseline(as_person, owner, build, tasks, make_task, a_friday):
    spare = make_task("S1", 2, name="Sew the sails")
    client = as_person(owner)
    page(client)
    keep_baseline(build, "Spring", owner)
    tasks[0].likely_minutes = tasks[0].high_minutes = 16 * 60
    tasks[0].save()
    spare.likely_minutes = spare.high_minutes = 15 * 60
    spare.save()
    shown = page(client)
    assert "Slip by stage, against “Spring”" in shown
    assert "days later." in shown  # the bar's own words
    assert "Float that was eaten since Fri 6 Mar 2026" in shown
    assert "S1 Sew the sails" in shown.split("Float that was eaten")[1]
    a_friday.shift(dt.timedelta(days=31))
    month = page(client, "?since=month")
    assert "Float that was eaten since Fri 6 Mar 2026" in month


def test_the_same_queries_whatever_the_rows(as_person, owner, build, tasks, make_task):
    client = as_person(owner)
    keep_baseline(build, "Spring", owner)

    def count() -> int:
        page(client)
        with noted_queries() as queries:
            page(client, "?all=yes")
        return len(queries)

    before = count()
    for number in range(10):
        make_task(f"X{number}", 1)
    for number in range(4):
        keep_baseline(build, f"More {number}", owner)
    past_weeks(build, 11)
    assert count() == before


def test_every_day_the_launch_is_kept_though_nobody_looks(build, tasks, a_friday):
    from buildlog.ahead.jobs import look_at_new_day

    look_at_new_day()
    look_at_new_day()
    assert Job.objects.count() == 1
    run_open_jobs()
    assert [row.day for row in LaunchRecord.objects.all()] == [NOW.date()]
    look_at_new_day()
    assert not Job.objects.open().exists()
    a_friday.shift(dt.timedelta(days=1))
    look_at_new_day()
    run_open_jobs()
    assert LaunchRecord.objects.count() == 2
