"""Background work: what a room imports to have some done, and what the worker runs.

from buildlog.background.jobs import kind, queue

@kind("photo-renditions", says="Making the sizes of a photo")
def make_renditions(job, photo): ...

queue("photo-renditions", build=photo.build, key=f"photo-{photo.pk}", photo=photo.pk)
"""

from __future__ import annotations

from django.utils import timezone

from buildlog.background import running
from buildlog.background.kinds import Cancelled, GiveUp, LeaseLost, kind
from buildlog.background.models import Job
from buildlog.background.queueing import WORK, NotNow, cancel, queue, retry
from buildlog.broker import throw_delivered_messages_away
from buildlog.celery import app

__all__ = [
    "Cancelled",
    "GiveUp",
    "Job",
    "LeaseLost",
    "NotNow",
    "cancel",
    "kind",
    "queue",
    "retry",
    "run_open_jobs",
]

# A worker that finds more to do than this fits asks to be woken again, so that the sweep and
# the recycling of its process get their turn.
TURN_SECONDS = 20


@app.task(name=WORK)
def work() -> None:
    """Do what is due. One message is enough for any number of jobs."""
    if Job.objects.due(timezone.now())[1:2].exists():
        work.delay()  # for whoever else is free
    running.run_jobs(TURN_SECONDS)
    if Job.objects.due(timezone.now()).exists():
        work.delay()


@app.task
def sweep_jobs() -> None:
    """Every few seconds: put back what a dead worker let go, wake for what was not heard."""
    if running.sweep():
        work.apply_async(expires=60)
    throw_delivered_messages_away()


def run_open_jobs() -> int:
    """Do every job that is due, here and now: for tests, and for loading the demo."""
    return running.run_jobs(seconds=3600)
