from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.conf import settings
from django.db import models, transaction
from django.db.models import Case, F, Q, When
from django.urls import reverse
from django.utils import timezone

from buildlog.background.kinds import Cancelled, LeaseLost, patient_kinds, words_for
from tasks.models import Build, Person


def lease_end() -> dt.datetime:
    return timezone.now() + dt.timedelta(seconds=settings.JOB_LEASE_SECONDS)


class State(models.TextChoices):
    QUEUED = "queued", "waiting its turn"
    RUNNING = "running", "being done"
    DONE = "done", "done"
    FAILED = "failed", "failed"
    CANCELLED = "cancelled", "cancelled"


class JobQuerySet(models.QuerySet["Job"]):
    def open(self) -> JobQuerySet:
        return self.filter(state__in=[State.QUEUED, State.RUNNING])

    def let_go(self, now: dt.datetime) -> JobQuerySet:
        """What a worker took and has not been heard of since."""
        return self.filter(state=State.RUNNING, lease_until__lt=now)

    def due(self, now: dt.datetime) -> JobQuerySet:
        """What a worker may take: its turn has come, or its worker let it go."""
        turn = Q(state=State.QUEUED) & (Q(run_after=None) | Q(run_after__lte=now))
        left = Q(state=State.RUNNING, lease_until__lt=now)
        return self.filter(turn | left, attempts__lt=settings.JOB_ATTEMPTS)

    def held(self, job: Job) -> JobQuerySet:
        """The job's row, as long as the lease on it is still the one that `job` has."""
        return self.filter(pk=job.pk, state=State.RUNNING, lease=job.lease)

    def take(self, now: dt.datetime) -> Job | None:
        """Take the oldest job that is due, of a patient kind only if there is no other.

        Of several workers exactly one gets it.
        """
        patience = Case(When(kind__in=patient_kinds(), then=1), default=0)
        in_turn = self.due(now).order_by(patience, "pk")
        while pk := in_turn.values_list("pk", flat=True).first():
            lease = uuid.uuid4().hex
            taken = self.due(now).filter(pk=pk)
            if taken.update(
                state=State.RUNNING,
                lease=lease,
                lease_until=lease_end(),
                attempts=F("attempts") + 1,
                asked_again=False,
                error="",
            ):
                # Another may have let it go and taken it meanwhile; then it is not ours.
                return self.select_related("build").filter(pk=pk, lease=lease).first()
        return None


class Job(models.Model):
    """Background work, as a row that is the truth of it. A message to the worker only wakes it.

    A worker takes a job by putting a lease on it, which it renews while it lives. What it does
    in the job's name is done only while it holds that lease: see `step` and `holding`.
    """

    State = State

    build = models.ForeignKey(
        Build, on_delete=models.CASCADE, null=True, blank=True, related_name="jobs"
    )
    kind = models.CharField(max_length=60)
    args = models.JSONField(default=dict)
    key = models.CharField("one open job a key", max_length=120, blank=True)
    state = models.CharField(max_length=9, choices=State, default=State.QUEUED)
    done_steps = models.PositiveIntegerField(default=0)
    all_steps = models.PositiveIntegerField(default=1)
    attempts = models.PositiveSmallIntegerField(default=0)
    lease = models.CharField("who holds it", max_length=36, blank=True)
    lease_until = models.DateTimeField(null=True, blank=True)
    run_after = models.DateTimeField(null=True, blank=True)
    asked_again = models.BooleanField("asked for again while being done", default=False)
    cancel_asked = models.BooleanField(default=False)
    error = models.TextField(blank=True)
    person = models.ForeignKey(
        Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    made_at = models.DateTimeField(auto_now_add=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    objects = JobQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        indexes = [
            models.Index(fields=["state", "lease_until"]),
            models.Index(fields=["state", "ended_at"]),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "key"],
                condition=~models.Q(key="") & models.Q(state__in=["queued", "running"]),
                name="one_open_job_a_key",
            )
        ]

    def __str__(self) -> str:
        return words_for(self.kind)

    def get_absolute_url(self) -> str:
        if self.build is None:
            raise ValueError("A job of no build has no page.")
        return reverse("job", args=[self.build.slug, self.pk])

    @property
    def is_open(self) -> bool:
        return self.state in (State.QUEUED, State.RUNNING)

    @property
    def waits_long(self) -> bool:
        """Has it waited so long for its turn that the worker may not be running?"""
        waited = timezone.now() - max(self.made_at, self.run_after or self.made_at)
        return self.state == State.QUEUED and waited > dt.timedelta(seconds=60)

    def step(self, done: int, of: int) -> None:
        """Record that `done` of `of` steps are behind us, and renew the lease.

        Raises `Cancelled` if somebody cancelled the job, `LeaseLost` if another worker has it.
        Both end the job's function; let them pass.
        """
        self._renew(done_steps=done, all_steps=max(of, 1))
        self.done_steps, self.all_steps = done, max(of, 1)
        if Job.objects.filter(pk=self.pk, cancel_asked=True).exists():
            raise Cancelled

    @contextmanager
    def holding(self) -> Iterator[None]:
        """One transaction, entered only while the job is ours and committed as a whole.

        Write a step's effect and call `step` inside it: then a worker that dies, or one that
        was given up and wakes later, leaves each step done once or not at all.
        """
        with transaction.atomic():
            self._renew()
            yield

    def _renew(self, **fields: Any) -> None:
        if not Job.objects.held(self).update(lease_until=lease_end(), **fields):
            raise LeaseLost(f"Job {self.pk} is no longer held by this worker.")
