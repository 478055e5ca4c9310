"""Asking for background work, calling it off, asking again: each in the caller's transaction."""

from __future__ import annotations

from typing import Any

from django.db import IntegrityError, connection, transaction
from django.utils import timezone

from buildlog.background.kinds import KINDS
from buildlog.background.models import Job, State
from buildlog.celery import app
from tasks.models import Build, Person

WORK = "buildlog.background.jobs.work"


class NotNow(Exception):
    """What was asked of a job does not fit the state it is in. The text is shown to people."""


def queue(
    kind: str,
    build: Build | None = None,
    key: str = "",
    person: Person | None = None,
    **args: Any,
) -> Job:
    """Ask for background work. It is done once the caller's transaction has been committed.

    `args` are ids and plain values, handed to the kind's function. Of one kind and `key` one
    job is open at a time: asking again gives that one back, and if it is being done already it
    is done once more afterwards, so that it sees what the caller has just written.
    """
    if kind not in KINDS:
        raise ValueError(f"There is no kind of job named {kind}.")
    job = _open_job(kind, key) or _new_job(kind, build, key, person, args)
    wake_on_commit()
    return job


def _open_job(kind: str, key: str) -> Job | None:
    """The open job of the key, marked so that no worker ends it on what it read before."""
    if not key:
        return None
    same = Job.objects.open().filter(kind=kind, key=key)
    return same.first() if same.update(asked_again=True, cancel_asked=False) else None


def _new_job(
    kind: str, build: Build | None, key: str, person: Person | None, args: dict[str, Any]
) -> Job:
    try:
        with transaction.atomic():
            return Job.objects.create(kind=kind, build=build, key=key, person=person, args=args)
    except IntegrityError:  # another asked for the same in the same moment
        job = _open_job(kind, key)
        if job is None:
            raise
        return job


def wake_on_commit() -> None:
    """Wake a worker when the transaction has been committed; one message does for all its jobs."""
    if any(waiting[1] is wake for waiting in connection.run_on_commit):
        return
    # Robust: with the broker away the row is kept all the same, and the sweep finds it.
    transaction.on_commit(wake, robust=True)


def wake() -> None:
    app.send_task(WORK)


def cancel(job: Job) -> None:
    """Call a job off: at once if it waits, at its next step if it is being done."""
    waiting = Job.objects.filter(pk=job.pk, state=State.QUEUED)
    if waiting.update(state=State.CANCELLED, ended_at=timezone.now()):
        return
    if not Job.objects.filter(pk=job.pk, state=State.RUNNING).update(cancel_asked=True):
        raise NotNow("It has ended already, so there is nothing to cancel.")


def retry(job: Job) -> None:
    """Put a job that failed back, as if it had never been tried."""
    failed = Job.objects.filter(pk=job.pk, state=State.FAILED)
    try:
        with transaction.atomic():
            again = failed.update(
                state=State.QUEUED, attempts=0, done_steps=0, run_after=None, error="",
                cancel_asked=False, ended_at=None,
            )  # fmt: skip
    except IntegrityError:
        raise NotNow("The same work has been asked for again already.") from None
    if not again:
        raise NotNow("Only a job that failed can be tried again.")
    wake_on_commit()
