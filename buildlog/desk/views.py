"""The bench: what can be done now, in which order, and why."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from buildlog.desk.bench import bench_of, uses_to_confirm
from buildlog.materials.need import needs_of
from buildlog.money.cost import cost_of
from tasks.access import in_build
from tasks.forecasting import kept_forecast
from tasks.models import Build
from tasks.order import kept_order
from tasks.plan import plan_of


@require_safe
@in_build("look")
def bench(request: HttpRequest, build: Build) -> HttpResponse:
    plan = plan_of(build)
    needs = needs_of(build, plan)
    order = kept_order(build)
    context: dict[str, Any] = {
        "build": build,
        "sheet": "Bench",
        "plan": plan,
        "bench": bench_of(plan, needs, request.user, order),
        "order": order,
        "forecast": kept_forecast(build) if plan.launch else None,
        "may_log": request.crew.may("log"),
        "may_plan": request.crew.may("plan"),
    }
    if request.crew.may("log"):
        context["uses"] = uses_to_confirm(build, plan.now)
    if request.crew.may("see-money") and plan.tasks:
        context["cost"] = cost_of(build, plan, needs)
    return render(request, "desk/bench.html", context)
