"""Who is calling: the address that sign-in counts wrong passwords by."""

from __future__ import annotations

import ipaddress

from django.conf import settings
from django.http import HttpRequest


def caller_address(request: HttpRequest) -> str | None:
    """The caller's IP address.

    Served over HTTPS, the program stands behind a proxy of its owner's (see BUILDLOG_HTTPS),
    which adds the address it was called from at the end of X-Forwarded-For. What stands before
    that was written by the caller and is not believed.
    """
    direct = request.META.get("REMOTE_ADDR") or None
    if not settings.HTTPS:
        return direct
    said = request.META.get("HTTP_X_FORWARDED_FOR", "").rsplit(",", 1)[-1].strip()
    try:
        return str(ipaddress.ip_address(said))
    except ValueError:
        return direct
