"""One task of the drawn plan: its dates, what fixes them, and the ways to change them."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from buildlog.desk.plan_timing import Timing
from tasks.access import CrewRequest, in_build
from tasks.models import Build
from tasks.order import kept_order
from tasks.order_room import room_in
from tasks.plan import plan_of
from tasks.views.facts import facts_of
from tasks.words import float_words


@require_safe
@in_build("look")
def plan_task(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    """A piece for the page of the plan; asked for by itself, a page of its own."""
    plan = plan_of(build)
    planned = plan.tasks.get(pk)
    if planned is None:
        raise Http404("There is no such task.")
    order = kept_order(build) if plan.launch else None
    timing = Timing(plan, order, room_in(plan, order) if order else {})
    facts = facts_of(plan, pk, request.user)
    piece = bool(request.htmx)
    context = {
        "build": build,
        "sheet": "On the plan",
        "frame": "desk/_bare.html" if piece else "base.html",
        "whole": not piece,
        "facts": facts,
        "dates": timing.of(planned),
        "ordered": order is not None and pk in order.places and planned.figures.left > 0,
        "pinned": timing.is_pinned(planned),
        "float": float_words(planned),
        "driven": any(link.driving for link in facts.links_in),
    }
    return render(request, "desk/picked.html", context)
