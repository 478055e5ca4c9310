"""The sheet of a task: the plan's facts, its parts and material, its log and its photos."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from buildlog.materials.need import needs_of
from buildlog.paging import page_of
from tasks.access import in_build
from tasks.forms import LeftForm
from tasks.models import Build
from tasks.order import kept_order
from tasks.plan import plan_of
from tasks.views.facts import facts_of, newest_act

PARTS_A_PAGE = 50


@require_safe
@in_build("look")
def task(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    plan = plan_of(build)
    if pk not in plan.tasks:
        raise Http404("There is no such task.")
    facts = facts_of(plan, pk, request.user)
    row = facts.planned.task
    parts = row.parts.select_related("material").order_by("name", "pk")
    order = kept_order(build)
    context = {
        "build": build,
        "sheet": f"Task {row.code}",
        "placed": order.places.get(pk) if order else None,
        "facts": facts,
        "newest_act": newest_act(pk),
        "left_form": LeftForm(),
        "parts": page_of(request, parts, PARTS_A_PAGE, "parts"),
        "needs": needs_of(build, plan).of_task(pk),
    }
    return render(request, "desk/task.html", context)
