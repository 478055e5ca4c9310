"""The sheet of one task as the plan knows it. The upper floor lays its own in its place."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from tasks.access import in_build
from tasks.models import Build
from tasks.plan import plan_of
from tasks.views.facts import facts_of, newest_act


@require_safe
@in_build("look")
def task(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    plan = plan_of(build)
    if pk not in plan.tasks:
        raise Http404("There is no such task.")
    context = {
        "build": build,
        "sheet": "Task",
        "facts": facts_of(plan, pk, request.user),
        "newest_act": newest_act(pk),
    }
    return render(request, "tasks/task.html", context)
