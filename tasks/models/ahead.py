"""What was reckoned at length of a plan, kept so that no page has to wait for it."""

from __future__ import annotations

from django.db import models

from tasks.models.build import Build


class AnswerKind(models.TextChoices):
    ORDER = "order", "the order of work"
    OFFER = "offer", "a better order of work"
    FORECAST = "forecast", "the forecast"
    MOVES = "moves", "what would move the launch"
    SLIPS = "slips", "what it costs not to do a job now"


class Answer(models.Model):
    """An answer with the version of what it was made of.

    All but the order of work can be thrown away; from that the next one is made, so that a small
    change of the plan does not turn the whole order upside down.
    """

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="answers")
    kind = models.CharField(max_length=8, choices=AnswerKind)
    plan_version = models.PositiveIntegerField()
    made_at = models.DateTimeField()
    figures = models.JSONField()

    class Meta:
        ordering = ["build", "kind"]
        constraints = [
            models.UniqueConstraint(fields=["build", "kind"], name="answer_once_a_kind"),
        ]

    def __str__(self) -> str:
        return self.get_kind_display()
