"""Pages on background work: how far a job is, what failed, trying it again, calling it off."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from buildlog.background import queueing
from buildlog.background.models import Job, State
from buildlog.paging import page_of
from tasks.access import CrewRequest, in_build
from tasks.models import Build


@require_safe
@never_cache
@in_build("log")
def job(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    """How far one job is: a page, or for htmx only the part of it that changes."""
    shown = get_object_or_404(build.jobs.select_related("build"), pk=pk)
    template = "background/_job.html" if request.htmx else "background/job.html"
    return render(request, template, {"build": build, "sheet": "Background work", "job": shown})


@require_safe
@never_cache
@in_build("plan")
def background(request: CrewRequest, build: Build) -> HttpResponse:
    """What failed first, then what is under way, then what has ended of late."""
    jobs = build.jobs.select_related("build", "person")
    context = {
        "build": build,
        "sheet": "Background work",
        "failed": page_of(request, jobs.filter(state=State.FAILED).order_by("-ended_at")),
        "under_way": page_of(request, jobs.open().order_by("pk"), per=20, name="open"),
        "ended": jobs.filter(state__in=[State.DONE, State.CANCELLED]).order_by("-ended_at")[:20],
    }
    return render(request, "background/background.html", context)


@require_POST
@in_build("plan")
def retry_job(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    return _change(request, get_object_or_404(build.jobs, pk=pk), queueing.retry)


@require_POST
@in_build("log")
def cancel_job(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    asked = get_object_or_404(build.jobs, pk=pk)
    if asked.person_id != request.user.pk and not request.crew.may("plan"):
        raise PermissionDenied("Somebody else asked for this work; a planner may cancel it.")
    return _change(request, asked, queueing.cancel)


def _change(request: CrewRequest, job: Job, change: Callable[[Job], None]) -> HttpResponse:
    try:
        change(job)
    except queueing.NotNow as reason:
        messages.error(request, str(reason))
    return redirect(job)
