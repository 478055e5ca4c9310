from __future__ import annotations

from django.db import models

from tasks.models import Build, Person


class Job(models.Model):
    """Background work, as a row that is the truth of it. A message to the worker only wakes it."""

    class State(models.TextChoices):
        QUEUED = "queued", "waiting its turn"
        RUNNING = "running", "being done"
        DONE = "done", "done"
        FAILED = "failed", "failed"
        CANCELLED = "cancelled", "cancelled"

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
    cancel_asked = models.BooleanField(default=False)
    error = models.TextField(blank=True)
    person = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["state", "lease_until"])]
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "key"],
                condition=~models.Q(key="") & models.Q(state__in=["queued", "running"]),
                name="one_open_job_a_key",
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.state}"
