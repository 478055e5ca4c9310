"""What somebody sees after too many wrong passwords."""

from __future__ import annotations

import math

from axes.helpers import get_client_username, get_cool_off
from axes.models import AccessAttempt
from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from buildlog.door.callers import caller_address


def seconds_to_wait(request: HttpRequest, username: str) -> int:
    """How long until this caller may try this name again; names without account count alike."""
    wait = get_cool_off(request)
    last = (
        AccessAttempt.objects.filter(username=username, ip_address=caller_address(request))
        .order_by("-attempt_time")
        .values_list("attempt_time", flat=True)
        .first()
    )
    left = wait if last is None else last + wait - timezone.now()
    return max(1, math.ceil(left.total_seconds()))


def locked_out(
    request: HttpRequest, response: HttpResponse | None, credentials: dict[str, str] | None
) -> HttpResponse:
    """The answer in place of the sign-in page (named in the settings)."""
    seconds = seconds_to_wait(request, get_client_username(request, credentials) or "")
    context = {
        "sheet": "Sign in",
        "minutes": math.ceil(seconds / 60),
        "tries": settings.AXES_FAILURE_LIMIT,
    }
    answer = render(request, "door/locked-out.html", context, status=429)
    answer["Retry-After"] = str(seconds)
    answer["Cache-Control"] = "no-store"
    return answer
