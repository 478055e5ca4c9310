from __future__ import annotations

import datetime as dt
import hashlib
import secrets

from django.contrib.sessions.base_session import AbstractBaseSession
from django.db import models

from tasks.models import Build, Person, Role


def new_token() -> str:
    """A secret that cannot be guessed: 256 bits, fit for an address."""
    return secrets.token_urlsafe(32)


def hashed(token: str) -> str:
    """What is kept of a token; the token itself is shown once and kept nowhere.

    A plain hash is enough, and quick to look up: nobody can try 2**256 tokens.
    """
    return hashlib.sha256(token.encode()).hexdigest()


class SignIn(AbstractBaseSession):
    """A session, with whose it is, so that a person can end all of theirs at once."""

    person_key = models.BigIntegerField(null=True, db_index=True)

    @classmethod
    def get_session_store_class(cls) -> type:
        from buildlog.door.sessions import SessionStore

        return SessionStore

    class Meta(AbstractBaseSession.Meta):
        verbose_name = "sign-in"
        verbose_name_plural = "sign-ins"


class FirstLinkQuerySet(models.QuerySet["FirstLink"]):
    def open(self, token: str) -> FirstLinkQuerySet:
        return self.filter(token_hash=hashed(token), used_at=None)


class FirstLink(models.Model):
    """The one-time link that makes the owner's account on a first run."""

    token_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(auto_now_add=True)
    used_at = models.DateTimeField(null=True, blank=True)

    objects = FirstLinkQuerySet.as_manager()

    def __str__(self) -> str:
        return "used" if self.used_at else "open"


class InvitationQuerySet(models.QuerySet["Invitation"]):
    def open(self, now: dt.datetime) -> InvitationQuerySet:
        return self.filter(used_at=None, expires_at__gt=now)

    def of_token(self, token: str) -> InvitationQuerySet:
        return self.filter(token_hash=hashed(token))


class Invitation(models.Model):
    """A one-time link by which somebody joins the crew of a build."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="invitations")
    role = models.CharField("may", max_length=10, choices=Role, default=Role.HAND)
    sees_money = models.BooleanField("may see the money", default=False)
    note = models.CharField("for whom", max_length=120, blank=True)
    token_hash = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    used_by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")

    objects = InvitationQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]

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
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return self.name
