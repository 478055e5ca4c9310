"""Sign-in of the API by token: `Authorization: Token …`."""

from __future__ import annotations

import datetime as dt

from django.db.models import Q
from django.utils import timezone
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework import exceptions
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.request import Request

from buildlog.door.models import ApiToken, hashed, new_token
from tasks.models import Person

# A token in steady use is not written at each call.
NOTE_USE_EVERY = dt.timedelta(hours=1)


def make_token(person: Person, name: str) -> tuple[ApiToken, str]:
    """Make an API token. Gives the row and the token itself, which is kept nowhere."""
    token = new_token()
    row = ApiToken.objects.create(person=person, name=name, token_hash=hashed(token))
    return row, token


class TokenAuthentication(BaseAuthentication):
    """Find the person by the hash of the token: one query, and a rare one to note the use."""

    keyword = "Token"

    def authenticate(self, request: Request) -> tuple[Person, ApiToken] | None:
        words = get_authorization_header(request).split()
        if not words or words[0].lower() != self.keyword.lower().encode():
            return None
        try:
            (token,) = [word.decode("ascii") for word in words[1:]]
        except ValueError:
            raise exceptions.AuthenticationFailed(
                "Write the header as: Authorization: Token, one space, the token."
            ) from None
        return self.authenticate_token(token)

    def authenticate_token(self, token: str) -> tuple[Person, ApiToken]:
        row = (
            ApiToken.objects.select_related("person")
            .filter(token_hash=hashed(token), person__is_active=True)
            .first()
        )
        if row is None:
            raise exceptions.AuthenticationFailed("This token is not known, or was revoked.")
        now = timezone.now()
        if row.last_used_at is None or row.last_used_at < now - NOTE_USE_EVERY:
            stale = Q(last_used_at=None) | Q(last_used_at__lt=now - NOTE_USE_EVERY)
            ApiToken.objects.filter(stale, pk=row.pk).update(last_used_at=now)
        return row.person, row

    def authenticate_header(self, request: Request) -> str:
        return self.keyword


class TokenScheme(OpenApiAuthenticationExtension):
    """How the schema describes it."""

    target_class = "buildlog.door.api_auth.TokenAuthentication"
    name = "token"

    def get_security_definition(self, auto_schema: object) -> dict[str, str]:
        return {
            "type": "apiKey",
            "in": "header",
            "name": "Authorization",
            "description": "“Token”, one space, and a token from your own page.",
        }
