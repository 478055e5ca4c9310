"""What base.html needs: the way around, the day, and a message's way back."""

from __future__ import annotations

import datetime as dt
from typing import Any
from zoneinfo import ZoneInfo

from django import template
from django.contrib.messages.storage.base import Message
from django.template import Context
from django.utils import timezone

from buildlog.desk.sheets import Way, ways_around

register = template.Library()
UNDO = "undo="


@register.simple_tag(takes_context=True)
def sheets(context: Context) -> list[Way]:
    """The ways around for whoever looks; none outside a build or for no crew."""
    request, build = context.get("request"), context.get("build")
    crew = getattr(request, "crew", None)
    if request is None or build is None or crew is None:
        return []
    return ways_around(build, crew, request.path)


@register.simple_tag(takes_context=True)
def today(context: Context) -> dt.date:
    """The day it is where the build is."""
    zone: Any = getattr(context.get("build"), "zone", None) or ZoneInfo("UTC")
    return timezone.now().astimezone(zone).date()


@register.filter
def undo_url(message: Message) -> str:
    """Where a message's Undo posts to: what its extra tags give as `undo=/address/`."""
    for word in (message.extra_tags or "").split():
        if word.startswith(UNDO):
            return word.removeprefix(UNDO)
    return ""
