from __future__ import annotations

import hashlib

from django.db import models

from tasks.models import Build, Person, Role


def hashed(token: str) -> str:
    """What is kept of a token; the token itself is shown once and kept nowhere."""
    return hashlib.sha256(token.encode()).hexdigest()


class FirstLink(models.Model):
    """The one-time link that makes the owner's account on a first run."""

    token_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(auto_now_add=True)
    used_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return "used" if self.used_at else "open"


class Invitation(models.Model):
    """A one-time link by which somebody joins the crew of a build."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="invitations")
    role = models.CharField(max_length=10, choices=Role, default=Role.HAND)
    sees_money = models.BooleanField("may see the money", default=False)
    note = models.CharField("for whom", max_length=120, blank=True)
    token_hash = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    used_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")

    class Meta:
        ordering = ["-made_at"]

    def __str__(self) -> str:
        return f"{self.role} {self.note}".strip()


class ApiToken(models.Model):
    """A key by which a person's own script uses the API. Only its hash is kept."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="api_tokens")
    name = models.CharField("what it is for", max_length=80)
    token_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(auto_now_add=True)
    last_used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at"]

    def __str__(self) -> str:
        return self.name
