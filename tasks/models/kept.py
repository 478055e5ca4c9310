"""What the plan once was: baselines that the builder keeps, and the launch of each day."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from django.db import models
from django.db.models import Q

from tasks.models.build import Build
from tasks.models.people import Person

__all__ = ["Baseline", "BaselineTask", "LaunchRecord"]


@dataclass(frozen=True, slots=True)
class BaselineTask:
    """A task as it was planned. Clock minutes; likely and float in people- and shop minutes.

    It goes by the task's number and keeps the words of the day, so that it stays whole when the
    task is renamed, moved or deleted.
    """

    task: int
    code: str
    name: str
    stage: int
    stage_name: str
    start: int
    finish: int
    likely: int
    total_float: int

    def __str__(self) -> str:
        return f"{self.code} {self.name}"


class Baseline(models.Model):
    """The plan as it stood when the builder kept it. Nothing in it is ever changed."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="baselines")
    name = models.CharField("name", max_length=80)
    made_at = models.DateTimeField()
    by = models.ForeignKey(
        Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="baselines"
    )
    who = models.CharField(max_length=120, blank=True)
    launch = models.DateTimeField("launch with the hands there were")
    launch_endless = models.DateTimeField("launch with endless hands")
    rows = models.JSONField("the tasks as they were planned")
    compared = models.BooleanField("the one compared with", default=False)

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["build", "name"],
                name="baseline_name_once_a_build",
                violation_error_message="There is a baseline of that name already.",
            ),
            models.UniqueConstraint(
                fields=["build"], condition=Q(compared=True), name="baseline_one_compared"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def save(self, *args: Any, **kwargs: Any) -> None:
        if (
            self.pk
            and not self._state.adding
            and set(kwargs.get("update_fields") or "*") != {"compared"}
        ):
            raise TypeError("A baseline is kept as it was; make another one.")
        super().save(*args, **kwargs)

    @property
    def tasks(self) -> list[BaselineTask]:
        """Its tasks in the order of the plan of that day."""
        return [BaselineTask(*row) for row in self.rows]

    @property
    def dates(self) -> dict[int, tuple[dt.datetime, dt.datetime]]:
        """Planned start and finish by the number of the task, in the build's zone."""
        zone = self.build.zone
        return {
            one.task: (
                dt.datetime.fromtimestamp(one.start * 60, zone),
                dt.datetime.fromtimestamp(one.finish * 60, zone),
            )
            for one in self.tasks
        }


class LaunchRecord(models.Model):
    """The launch as it stood on a day, and all that it was made of, packed (`launch_records`).

    `causes` are those of the change since another record, kept so that no page reckons them.
    """

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="launch_records")
    day = models.DateField()
    made_at = models.DateTimeField()
    launch = models.DateTimeField()
    packed = models.BinaryField()
    causes = models.JSONField(null=True)
    since = models.ForeignKey("self", on_delete=models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ["day", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["build", "day"], name="launch_record_once_a_day"),
        ]

    def __str__(self) -> str:
        return f"{self.day}: {self.launch}"
