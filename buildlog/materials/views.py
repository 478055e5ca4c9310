"""The takeoff: what the parts not yet made need of every material, and what to order by when."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from buildlog.materials.grouping import by_kind, doubts_of
from buildlog.materials.models import Material
from buildlog.materials.need import needs_of
from buildlog.materials.ordering import orders_of
from tasks.access import CrewRequest, in_build
from tasks.models import Build
from tasks.plan import plan_of


@require_safe
@in_build("look")
def materials(request: CrewRequest, build: Build) -> HttpResponse:
    """Every material by kind; `?kind=` one kind of it, `?only=to-buy` or `in-stock` those rows."""
    plan = plan_of(build)
    needs = needs_of(build, plan)
    kind, only = request.GET.get("kind", ""), request.GET.get("only", "")
    orders = orders_of(plan, needs)
    rows = [row for row in needs.materials if not kind or row.material.kind == kind]
    if only == "to-buy":
        rows = [row for row in rows if row.to_buy]
    elif only == "in-stock":
        rows = [row for row in rows if row.stock]
    doubts, doubt_count = doubts_of(needs)
    context = {
        "build": build,
        "sheet": "Materials",
        "orders_soon": [one for one in orders if one.soon],
        "orders_later": [one for one in orders if not one.soon],
        "kinds": by_kind(rows),
        "all_kinds": Material.Kind.choices,
        "kind": kind,
        "only": only,
        "any": bool(needs.materials),
        "doubts": doubts,
        "more_doubts": doubt_count - len(doubts),
        "sees_money": request.crew.may("see-money"),
        "rights": request.crew.rights,
        "today": plan.now.date(),
    }
    return render(request, "materials/materials.html", context)
