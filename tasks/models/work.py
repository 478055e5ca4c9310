from __future__ import annotations

import datetime as dt

from django.db import models
from django.db.models import F, Q

from tasks.models.build import Build
from tasks.models.limits import check_year
from tasks.models.people import Person
from tasks.models.plan import Task


class Work(models.Model):
    """Hours of one person on one day, from the clock or by hand. A running clock has no stop."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="work")
    task = models.ForeignKey(
        Task, on_delete=models.RESTRICT, related_name="work", null=True, blank=True
    )
    person = models.ForeignKey(
        Person, on_delete=models.SET_NULL, related_name="work", null=True, blank=True
    )
    who = models.CharField("who", max_length=120)
    day = models.DateField("day", validators=[check_year])
    minutes = models.PositiveIntegerField("time", null=True, blank=True)
    started_at = models.DateTimeField(null=True, blank=True)
    stopped_at = models.DateTimeField(null=True, blank=True)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["day", "pk"]
        verbose_name_plural = "work"
        indexes = [models.Index(fields=["build", "day"])]
        constraints = [
            models.CheckConstraint(
                condition=Q(minutes__isnull=False)
                | Q(started_at__isnull=False, stopped_at__isnull=True),
                name="work_measured_or_running",
            ),
            models.CheckConstraint(
                condition=Q(stopped_at__isnull=True) | Q(stopped_at__gte=F("started_at")),
                name="work_stops_after_start",
            ),
            models.UniqueConstraint(
                fields=["build", "person"],
                condition=Q(minutes__isnull=True),
                name="one_running_clock_a_person",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.who} {self.day}"

    @property
    def running(self) -> bool:
        return self.minutes is None

    @property
    def begun(self) -> dt.datetime:
        """When a running clock was started; the database lets none be without."""
        if self.started_at is None:
            raise ValueError(f"the hours {self.pk} are from no clock")
        return self.started_at


class ActKind(models.TextChoices):
    START = "start", "started"
    STOP = "stop", "stopped"
    FINISH = "finish", "finished"
    LEFT = "left", "said what is left"


class Act(models.Model):
    """Something done to a task from the bench, with what it takes to undo it."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="acts")
    task = models.ForeignKey(Task, on_delete=models.CASCADE, related_name="acts")
    person = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="acts")
    kind = models.CharField(max_length=6, choices=ActKind)
    at = models.DateTimeField()
    before = models.JSONField("how things stood before", default=dict)
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.task_id}"
