"""Doing jobs: take one, keep its lease alive while it is done, write down how it ended."""

from __future__ import annotations

import datetime as dt
import logging
import threading
import time
from types import TracebackType
from typing import Any

from django.conf import settings
from django.db import DatabaseError, connection
from django.db.models import F
from django.utils import timezone

from buildlog.background.kinds import KINDS, Cancelled, GiveUp, LeaseLost
from buildlog.background.models import Job, State, lease_end

logger = logging.getLogger(__name__)

KEEP_ENDED = dt.timedelta(days=7)
KEEP_FAILED = dt.timedelta(days=90)


class Heartbeat:
    """Renews a job's lease from a thread of its own, for work that is long between its steps."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.over = threading.Event()
        self.thread = threading.Thread(target=self.beat, daemon=True)

    def beat(self) -> None:
        while not self.over.wait(settings.JOB_LEASE_SECONDS / 3):
            try:
                if not Job.objects.held(self.job).update(lease_until=lease_end()):
                    break
            except DatabaseError:
                logger.warning("The lease of job %s was not renewed.", self.job.pk, exc_info=True)
            finally:
                connection.close()

    def __enter__(self) -> None:
        self.thread.start()

    def __exit__(
        self,
        kind: type[BaseException] | None,
        reason: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.over.set()
        self.thread.join()


def run_jobs(seconds: float) -> int:
    """Do what is due, one after another, for about so long. Returns how many were done."""
    until = time.monotonic() + seconds
    count = 0
    while time.monotonic() < until and (job := Job.objects.take(timezone.now())):
        run(job)
        count += 1
    return count


def run(job: Job) -> None:
    """Do a job that was just taken, and record how it ended."""
    try:
        if job.kind not in KINDS:
            raise GiveUp(f"This version of the program has no work of the kind “{job.kind}”.")
        with Heartbeat(job):
            KINDS[job.kind].run(job, **job.args)
    except LeaseLost:
        logger.warning("Job %s was given to another worker.", job.pk)
    except Cancelled:
        _end(job, State.CANCELLED)
    except GiveUp as reason:
        logger.warning("Job %s (%s) failed: %s", job.pk, job.kind, reason)
        _end(job, State.FAILED, str(reason))
    except Exception as reason:
        logger.exception("Job %s (%s) failed in attempt %s.", job.pk, job.kind, job.attempts)
        _try_later(job, str(reason) or type(reason).__name__)
    else:
        _end(job, State.DONE, done_steps=F("all_steps"))


def _end(job: Job, state: State, error: str = "", **more: Any) -> None:
    held = Job.objects.held(job)
    final = held if state == State.CANCELLED else held.filter(asked_again=False)
    if not final.update(
        state=state, error=error, lease="", lease_until=None, ended_at=timezone.now(), **more
    ):
        # Asked for again meanwhile: what it worked from may have been out of date.
        held.update(state=State.QUEUED, attempts=0, done_steps=0, lease="", lease_until=None)


def _try_later(job: Job, error: str) -> None:
    if job.attempts >= settings.JOB_ATTEMPTS:
        _end(job, State.FAILED, error)
        return
    wait = dt.timedelta(seconds=5 * 4 ** (job.attempts - 1))
    Job.objects.held(job).update(
        state=State.QUEUED, error=error, lease="", lease_until=None,
        run_after=timezone.now() + wait,
    )  # fmt: skip


def let_all_go() -> int:
    """Say that nobody works on any job now. Only for who knows that all workers have ended."""
    long_ago = timezone.now() - dt.timedelta(seconds=1)
    return Job.objects.filter(state=State.RUNNING).update(lease_until=long_ago)


def sweep() -> bool:
    """Tidy up after workers that died. Tells whether there is work to wake a worker for."""
    now = timezone.now()
    left = Job.objects.let_go(now)
    left.filter(cancel_asked=True).update(
        state=State.CANCELLED, lease="", lease_until=None, ended_at=now
    )
    left.filter(attempts__gte=settings.JOB_ATTEMPTS).update(
        state=State.FAILED, lease="", lease_until=None, ended_at=now,
        error=f"The worker stopped in the middle of it, {settings.JOB_ATTEMPTS} times.",
    )  # fmt: skip
    ended = Job.objects.filter(state__in=[State.DONE, State.CANCELLED])
    ended.filter(ended_at__lt=now - KEEP_ENDED).delete()
    Job.objects.filter(state=State.FAILED, ended_at__lt=now - KEEP_FAILED).delete()
    return Job.objects.due(now).exists()
