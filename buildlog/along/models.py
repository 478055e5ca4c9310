"""The private addresses at which calendar programs read the plan."""

from __future__ import annotations

import uuid

from django.db import models

from tasks.models import Crew


class CalendarAddress(models.Model):
    """The address at which one person's calendar programs read one build.

    It belongs to the person's place in the crew, and goes with it. Of the token only the hash is
    kept. `uid` outlives a new token, so that the events of a calendar stay the same ones.
    `content_hash` and `changed_at` tell what was last handed out, and since when it is so.
    """

    crew = models.OneToOneField(Crew, on_delete=models.CASCADE, related_name="calendar_address")
    token_hash = models.CharField(max_length=64, unique=True)
    uid = models.UUIDField(default=uuid.uuid4, editable=False)
    made_at = models.DateTimeField()
    last_read_at = models.DateTimeField(null=True, blank=True)
    content_hash = models.CharField(max_length=64, blank=True)
    changed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "calendar addresses"

    def __str__(self) -> str:
        return f"{self.crew}"
