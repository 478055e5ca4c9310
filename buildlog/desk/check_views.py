"""Can this plan be believed? The checks of the plan, each with what is at fault and its remedy."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from buildlog.desk.check_values import shown_checks, shown_practices
from tasks.access import CrewRequest, in_build
from tasks.baselines import baseline_of
from tasks.health import health_of
from tasks.models import Build
from tasks.network.health import Verdict
from tasks.plan import plan_of


@require_safe
@in_build("look")
def checks(request: CrewRequest, build: Build) -> HttpResponse:
    plan = plan_of(build)
    context: dict[str, Any] = {"build": build, "sheet": "Checks", "plan": plan}
    found = health_of(plan, baseline_of(build)) if plan.tasks else None
    if found is not None:
        may_plan = request.crew.may("plan")
        shown = shown_checks(found, request.GET.getlist("all"), may_plan=may_plan)
        informs = [one for one in shown if one.verdict is Verdict.INFORMATION]
        context |= {
            "found": found,
            "wrong": [one for one in shown if one.verdict is Verdict.FAILS],
            "to_know": [one for one in informs if one.found],
            "fine": [one for one in shown if one.verdict is Verdict.PASSES],
            "nothing_found": [one for one in informs if not one.found],
            "untold": [one for one in shown if one.verdict is Verdict.CANNOT_TELL],
            "judged": sum(one.verdict in (Verdict.PASSES, Verdict.FAILS) for one in shown),
            "practices": shown_practices(found),
            "may_plan": may_plan,
        }
    return render(request, "desk/checks.html", context)
