"""Changes of the plan that were tried first and then taken, so that they can be undone."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from tasks.models import Build, Person


class Taken(models.Model):
    """A change that was taken. The rows it made are those of the plan; here is how to undo it."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="moves_taken")
    person = models.ForeignKey(
        Person, on_delete=models.SET_NULL, null=True, related_name="moves_taken"
    )
    at = models.DateTimeField()
    says = models.CharField(max_length=300)
    move = models.JSONField()
    made = models.JSONField("the rows that it made, and how things stood before")
    key = models.CharField("sent-once key", max_length=64, blank=True, editable=False)
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]
        verbose_name_plural = "changes taken"
        constraints = [
            models.UniqueConstraint(
                fields=["build", "key"], condition=~Q(key=""), name="move_taken_once"
            )
        ]

    def __str__(self) -> str:
        return self.says
