"""Asking for work: one row, in the caller's transaction, and a wake-up once it is committed."""

from __future__ import annotations

import pytest
from django.db import transaction

from buildlog.background import queueing
from buildlog.background.jobs import Job, NotNow, cancel, queue, retry, run_open_jobs
from buildlog.background.models import State
from buildlog.celery import app

pytestmark = pytest.mark.django_db


@pytest.fixture
def woken(monkeypatch):
    names = []
    monkeypatch.setattr(app, "send_task", names.append)
    return names


def test_it_keeps_what_was_asked_and_wakes_on_commit(
    do, woken, build, owner, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks(execute=True):
        job = queue("test", build=build, person=owner, photo=7)
        assert woken == []
    job.refresh_from_db()
    assert (job.state, job.args, job.person) == (State.QUEUED, {"photo": 7}, owner)
    assert woken == [queueing.WORK]


def test_it_wakes_once_for_all_jobs_of_a_transaction(do, woken, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True), transaction.atomic():
        for number in range(3):
            with transaction.atomic():
                queue("test", number=number)
    assert woken == [queueing.WORK]


@pytest.mark.django_db(transaction=True)
def test_it_wakes_for_what_stays_when_a_part_is_rolled_back(do, woken):
    with transaction.atomic():
        with pytest.raises(RuntimeError), transaction.atomic():
            queue("test")
            raise RuntimeError
        queue("test")
    assert woken == [queueing.WORK]


@pytest.mark.django_db(transaction=True)
def test_it_forgets_what_was_rolled_back(do, woken):
    with pytest.raises(RuntimeError), transaction.atomic():
        queue("test")
        raise RuntimeError
    assert not Job.objects.exists()
    assert woken == []


@pytest.mark.django_db(transaction=True)
def test_it_keeps_the_row_when_the_broker_is_away(do, monkeypatch):
    def refuse(name):
        raise ConnectionRefusedError

    monkeypatch.setattr(app, "send_task", refuse)
    queue("test")
    assert Job.objects.get().state == State.QUEUED


def test_it_refuses_a_kind_that_nobody_registered():
    with pytest.raises(ValueError, match="no kind of job named no-such"):
        queue("no-such")


def test_it_keeps_one_open_job_a_key(do):
    first = queue("test", key="photo-1")
    assert queue("test", key="photo-1") == first
    assert queue("test", key="photo-2") != first
    run_open_jobs()
    assert queue("test", key="photo-1") != first


def test_it_runs_again_what_was_asked_for_while_it_was_being_done(do):
    runs = []

    def run(job):
        runs.append(job.pk)
        if len(runs) == 1:
            assert queue("test", key="plan").pk == job.pk

    do(run)
    job = queue("test", key="plan")
    run_open_jobs()
    assert runs == [job.pk, job.pk]
    job.refresh_from_db()
    assert job.state == State.DONE


def test_it_cancels_at_once_what_still_waits(do):
    ran = []
    do(lambda job: ran.append(job))
    job = queue("test")
    cancel(job)
    run_open_jobs()
    job.refresh_from_db()
    assert (job.state, ran) == (State.CANCELLED, [])
    with pytest.raises(NotNow, match="ended already"):
        cancel(job)


def test_it_cancels_at_the_next_step_what_is_being_done(do):
    steps = []

    def run(job):
        for done in range(1, 4):
            if done == 2:
                cancel(job)
            steps.append(done)
            job.step(done, 3)

    do(run)
    job = queue("test")
    run_open_jobs()
    job.refresh_from_db()
    assert (job.state, steps, job.done_steps) == (State.CANCELLED, [1, 2], 2)


def test_it_retries_only_what_failed(do):
    job = queue("test")
    with pytest.raises(NotNow, match="Only a job that failed"):
        retry(job)
    Job.objects.filter(pk=job.pk).update(state=State.FAILED, attempts=3, error="bad")
    retry(job)
    job.refresh_from_db()
    assert (job.state, job.attempts, job.error) == (State.QUEUED, 0, "")


def test_it_does_not_retry_beside_the_same_work_asked_for_anew(do):
    failed = queue("test", key="one")
    Job.objects.filter(pk=failed.pk).update(state=State.FAILED)
    queue("test", key="one")
    with pytest.raises(NotNow, match="asked for again already"):
        retry(failed)
