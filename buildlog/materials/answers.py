"""What several pages of the room answer alike."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.http import HttpRequest
from django.utils import timezone

from tasks.models import Build

MOST_IN_LIST = 300
MORE_LINES, MOST_LINES = 6, 100


def today_in(build: Build) -> dt.date:
    return timezone.localdate(timezone=build.zone)


def task_list(build: Build) -> list[tuple[str, str]]:
    """Number and name of tasks to offer while one is typed: those with work left. One query."""
    rows = build.tasks.filter(finished_at__isnull=True).values_list("code", "name")
    return list(rows[:MOST_IN_LIST])


def with_more_lines(request: HttpRequest, prefix: str) -> Any:
    """What was sent; with more lines in the formset where the button for more was pressed."""
    if "more" not in request.POST:
        return request.POST
    data = request.POST.copy()
    lines = data.get(f"{prefix}-TOTAL_FORMS", "")
    if lines.isdecimal() and len(lines) < 4:
        data[f"{prefix}-TOTAL_FORMS"] = str(min(int(lines) + MORE_LINES, MOST_LINES))
    return data
