"""Taking the plan along: a private calendar address, and the order of work as a file."""

from __future__ import annotations

import json
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.utils.http import http_date, quote_etag
from django.utils.text import slugify
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from buildlog.ahead.views import fresh_order
from buildlog.along.addresses import (
    address_of,
    find_address,
    note_reading,
    renew_address,
    revoke_address,
)
from buildlog.along.api import OrderSheetSerializer
from buildlog.along.calendar_feed import feed_of
from buildlog.along.happenings import SESSION_WEEKS
from buildlog.along.order_table import COLUMNS, cells_of, sheet_of
from buildlog.lists.taking import FORMS, file_name
from buildlog.lists.writing import to_csv
from tasks.access import CrewRequest, in_build
from tasks.models import Build
from tasks.plan import plan_of


@never_cache
@require_safe
@in_build("look")
def take_along(request: CrewRequest, build: Build) -> HttpResponse:
    return _page(request, build)


@never_cache
@require_POST
@in_build("look")
def new_address(request: CrewRequest, build: Build) -> HttpResponse:
    """Make the address, or another in its place; it is shown in this answer and nowhere else."""
    _, token = renew_address(request.crew)
    whole = request.build_absolute_uri(reverse("calendar-feed", args=[token]))
    by_calendar = "webcal" + whole[whole.index("://") :]
    return _page(request, build, made=whole, made_for_calendar=by_calendar)


@require_POST
@in_build("look")
def revoke(request: CrewRequest, build: Build) -> HttpResponse:
    if revoke_address(request.crew):
        messages.success(request, "The address no longer works.")
    return redirect("take-along", build.slug)


def _page(request: CrewRequest, build: Build, **more: Any) -> HttpResponse:
    plan = plan_of(build)
    context = {
        "build": build,
        "sheet": "Take it along",
        "plan": plan,
        "address": address_of(request.crew),
        "weeks": SESSION_WEEKS,
    }
    return render(request, "along/take_along.html", context | more)


@login_not_required
@require_safe
def calendar_feed(request: HttpRequest, token: str) -> HttpResponse:
    """The calendar itself. A token nobody has and one that was revoked get the same 404."""
    address = find_address(token)
    if address is None:
        raise Http404("There is no such calendar.")
    note_reading(address)
    feed = feed_of(address, request.build_absolute_uri("/"))
    response = HttpResponse(feed.content, content_type="text/calendar; charset=utf-8")
    name = slugify(address.crew.build.name) or "build"
    response["Content-Disposition"] = f'inline; filename="{name}.ics"'
    # Asked for each time, so that what is revoked is gone at once; the fingerprint makes it cheap.
    response["Cache-Control"] = "private, no-cache"
    response["Referrer-Policy"] = "no-referrer"
    response["X-Robots-Tag"] = "noindex, nofollow"
    response["ETag"] = quote_etag(feed.tag)
    response["Last-Modified"] = http_date(feed.changed_at.timestamp())
    return (
        get_conditional_response(
            request, response["ETag"], int(feed.changed_at.timestamp()), response
        )
        or response
    )


@require_safe
@in_build("look")
def order_csv(request: CrewRequest, build: Build) -> HttpResponse:
    plan = plan_of(build)
    sheet = sheet_of(plan, fresh_order(plan))
    rows = [cells_of(row, plan) for row in sheet.tasks]
    return _file(build, "csv", FORMS["csv"], to_csv(COLUMNS, rows))


@require_safe
@in_build("look")
def order_json(request: CrewRequest, build: Build) -> HttpResponse:
    plan = plan_of(build)
    sheet = sheet_of(plan, fresh_order(plan))
    content = json.dumps(OrderSheetSerializer(sheet).data, ensure_ascii=False, indent=1)
    return _file(build, "json", "application/json", content.encode())


def _file(build: Build, form: str, kind: str, content: bytes) -> HttpResponse:
    response = HttpResponse(content, content_type=kind)
    name = file_name(build, "order-of-work", form)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    response["Cache-Control"] = "private, no-store"
    return response
