"""Doing work: how a job ends, what becomes of it when its worker dies, and of a late worker."""

from __future__ import annotations

import datetime as dt

import pytest
from django.utils import timezone

from buildlog.background import kinds, running
from buildlog.background.jobs import GiveUp, Job, LeaseLost, queue, run_open_jobs
from buildlog.background.models import State
from tasks.models import Build

pytestmark = pytest.mark.django_db


def let_lease_run_out(job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(lease_until=timezone.now() - dt.timedelta(seconds=1))


def let_turn_come() -> None:
    Job.objects.filter(state=State.QUEUED).update(run_after=None)


def test_it_does_jobs_in_order_and_records_that(do):
    order = []
    do(lambda job, number: order.append(number))
    for number in range(5):
        queue("test", number=number)
    assert run_open_jobs() == 5
    assert order == [0, 1, 2, 3, 4]
    assert {job.state for job in Job.objects.all()} == {State.DONE}
    assert all(job.ended_at and not job.lease for job in Job.objects.all())


def test_it_tries_again_later_and_fails_in_the_end(do, settings, caplog):
    def run(job):
        raise OSError("the disk is full")

    do(run)
    job = queue("test")
    for attempt in range(1, settings.JOB_ATTEMPTS + 1):
        assert run_open_jobs() == 1
        job.refresh_from_db()
        assert job.attempts == attempt
        assert job.error == "the disk is full"
        if attempt < settings.JOB_ATTEMPTS:
            assert job.state == State.QUEUED
            assert job.run_after > timezone.now()
            assert run_open_jobs() == 0
            let_turn_come()
    assert job.state == State.FAILED
    assert "Traceback" in caplog.text


def test_it_does_not_try_again_what_is_hopeless(do):
    def run(job):
        raise GiveUp("There is no such photo.")

    do(run)
    job = queue("test")
    run_open_jobs()
    job.refresh_from_db()
    assert (job.state, job.error, job.attempts) == (State.FAILED, "There is no such photo.", 1)


def test_it_fails_a_kind_that_this_version_has_not():
    Job.objects.create(kind="gone")
    run_open_jobs()
    assert "no work of the kind “gone”" in Job.objects.get().error


def test_exactly_one_worker_gets_a_job(do):
    job = queue("test")
    now = timezone.now()
    assert Job.objects.take(now) == job
    assert Job.objects.take(now) is None


def test_a_patient_job_lets_all_others_go_first(do, monkeypatch):
    patient = kinds.Kind("long", "Thinking", lambda job: None, True)
    monkeypatch.setitem(kinds.KINDS, "long", patient)
    asked = [queue("long"), queue("test"), queue("long"), queue("test")]
    now = timezone.now()
    taken = [Job.objects.take(now) for _ in asked]
    assert taken == [asked[1], asked[3], asked[0], asked[2]]


def test_another_worker_goes_on_with_what_a_dead_one_let_go(do):
    seen = []
    do(lambda job: seen.append(job.done_steps))
    job = queue("test")
    dead = Job.objects.take(timezone.now())
    dead.step(2, 5)
    assert run_open_jobs() == 0
    let_lease_run_out(job)
    assert running.sweep()
    assert run_open_jobs() == 1
    assert seen == [2]


def test_a_late_worker_writes_nothing_more(do):
    queue("test")
    late = Job.objects.take(timezone.now())
    let_lease_run_out(late)
    run_open_jobs()
    with pytest.raises(LeaseLost):
        late.step(1, 2)
    with pytest.raises(LeaseLost), late.holding():
        Build.objects.create(name="written late", slug="late")
    assert not Build.objects.filter(slug="late").exists()
    running._end(late, State.FAILED, "late")
    assert Job.objects.get().state == State.DONE


def test_what_is_held_is_written_with_its_step_or_not_at_all(do):
    def run(job):
        with job.holding():
            Build.objects.create(name="One", slug="one")
            job.step(1, 2)
        with job.holding():
            Build.objects.create(name="Two", slug="two")
            job.step(2, 2)
            raise GiveUp("in the middle")

    do(run)
    queue("test")
    run_open_jobs()
    assert [build.slug for build in Build.objects.all()] == ["one"]
    assert Job.objects.get().done_steps == 1


def test_the_sweep_gives_up_on_what_kills_every_worker(do, settings):
    queue("test")
    for _ in range(settings.JOB_ATTEMPTS):
        job = Job.objects.take(timezone.now())
        let_lease_run_out(job)
    assert not running.sweep()
    job.refresh_from_db()
    assert job.state == State.FAILED
    assert "stopped in the middle of it, 3 times" in job.error


def test_the_sweep_forgets_what_ended_long_ago(do):
    for days, state in [(6, "done"), (8, "done"), (8, "cancelled"), (8, "failed"), (91, "failed")]:
        Job.objects.create(
            kind="test", state=state, ended_at=timezone.now() - dt.timedelta(days=days)
        )
    running.sweep()
    assert sorted(job.state for job in Job.objects.all()) == ["done", "failed"]


@pytest.mark.django_db(transaction=True)
def test_the_heartbeat_keeps_a_long_step_ours(do, settings, monkeypatch):
    settings.JOB_LEASE_SECONDS = 0.3
    renewed = []

    def run(job):
        before = Job.objects.get(pk=job.pk).lease_until
        while len(renewed) < 2:
            now_until = Job.objects.get(pk=job.pk).lease_until
            if now_until != before:
                renewed.append(now_until)
                before = now_until

    do(run)
    job = queue("test")
    run_open_jobs()
    job.refresh_from_db()
    assert renewed[1] > renewed[0]
    assert job.state == State.DONE
