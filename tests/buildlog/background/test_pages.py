"""The pages on background work: who sees them, what they say, what can be done there."""

from __future__ import annotations

import pytest
from django.urls import reverse

from buildlog.background.jobs import Job, queue
from buildlog.background.models import State

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(do, build, hand) -> Job:
    return queue("test", build=build, person=hand)


def address(name: str, job: Job) -> str:
    return reverse(name, args=[job.build.slug, job.pk])


def test_it_shows_how_far_a_job_is(as_person, hand, job):
    Job.objects.filter(pk=job.pk).update(state=State.RUNNING, done_steps=3, all_steps=8)
    page = as_person(hand).get(address("job", job)).content.decode()
    assert "3 of 8" in page
    assert '<progress aria-label="Testing" max="8" value="3">' in page
    assert 'hx-trigger="every 1s"' in page
    assert f'href="{address("job", job)}">Look again' in page


def test_it_answers_htmx_with_the_part_and_stops_asking_when_ended(as_person, hand, job):
    Job.objects.filter(pk=job.pk).update(state=State.DONE)
    page = as_person(hand).get(address("job", job), headers={"HX-Request": "true"}).content.decode()
    assert page.lstrip().startswith("<section")
    assert "hx-get" not in page


@pytest.mark.parametrize("name", ["job", "cancel-job", "retry-job"])
def test_it_does_not_exist_for_strangers(as_person, stranger, job, name):
    client = as_person(stranger)
    ask = client.get if name == "job" else client.post
    assert ask(address(name, job)).status_code == 404


def test_it_keeps_builds_apart(as_person, stranger, job):
    elsewhere = reverse("job", args=["other", job.pk])
    assert as_person(stranger).get(elsewhere).status_code == 404


def test_only_planners_see_the_list_and_retry(as_person, hand, planner, build, job):
    Job.objects.filter(pk=job.pk).update(state=State.FAILED, error="The disk is full.")
    listed = reverse("background", args=[build.slug])
    assert as_person(hand).get(listed).status_code == 403
    assert as_person(hand).post(address("retry-job", job)).status_code == 403
    client = as_person(planner)
    assert "The disk is full." in client.get(listed).content.decode()
    assert client.post(address("retry-job", job)).status_code == 302
    job.refresh_from_db()
    assert job.state == State.QUEUED
    answer = client.post(address("retry-job", job), follow=True)
    assert "Only a job that failed can be tried again." in answer.content.decode()


def test_those_who_asked_and_planners_may_cancel(as_person, hand, planner, build, do):
    mine = queue("test", build=build, person=hand)
    theirs = queue("test", build=build, person=planner)
    client = as_person(hand)
    assert client.post(address("cancel-job", mine)).status_code == 302
    assert client.post(address("cancel-job", theirs)).status_code == 403
    mine.refresh_from_db()
    assert mine.state == State.CANCELLED
    assert client.get(address("cancel-job", mine)).status_code == 405


def test_its_queries_do_not_grow_with_the_rows(
    as_person, planner, build, do, django_assert_max_num_queries
):
    client = as_person(planner)
    listed = reverse("background", args=[build.slug])

    def count(rows: int) -> int:
        Job.objects.all().delete()
        for state in State:
            for _ in range(rows):
                Job.objects.create(kind="test", build=build, state=state, person=planner)
        with django_assert_max_num_queries(30) as queries:
            client.get(listed)
        return len(queries)

    assert count(3) == count(30)
