"""What changed: the launch week by week and why, slip against a baseline, float eaten."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from buildlog.ahead.changed import curve_of, eaten_of, slips_of, week_lines
from buildlog.ahead.changed_forms import BaselineForm
from buildlog.ahead.looking import ask_to_look
from buildlog.ahead.views import fresh_order
from tasks.access import CrewRequest, in_build
from tasks.baselines import compare_with, delete_baseline, keep_baseline
from tasks.changes import Refused
from tasks.launch_records import weeks_of
from tasks.models import Baseline, Build
from tasks.plan import plan_of
from tasks.views.answers import answer_form
from tasks.views.tasks import GET_OR_POST

SHOWN_WEEKS = 12


@require_safe
@in_build("look")
def changes(request: CrewRequest, build: Build) -> HttpResponse:
    return render(request, "ahead/changes.html", _sheet(request, build) | {"form": BaselineForm()})


def _sheet(request: CrewRequest, build: Build) -> dict[str, Any]:
    plan = plan_of(build)
    order = fresh_order(plan)  # keeps the record of the day
    weeks = weeks_of(build)
    if any(week.waits for week in weeks):
        with transaction.atomic():
            ask_to_look(build)
    baselines = list(Baseline.objects.filter(build=build).select_related("by"))
    for one in baselines:
        one._state.fields_cache["build"] = build
    compared = next((one for one in baselines if one.compared), None)
    lines = week_lines(plan, weeks)
    everything = request.GET.get("all") == "yes"
    return {
        "build": build,
        "sheet": "What changed",
        "plan": plan,
        "order": order,
        "curve": curve_of(weeks, compared),
        "weeks": lines if everything else lines[:SHOWN_WEEKS],
        "hidden": 0 if everything else max(len(lines) - SHOWN_WEEKS, 0),
        "baselines": baselines,
        "slips": slips_of(compared, plan, order) if compared else None,
        "eaten": eaten_of(build, plan, compared, request.GET.get("since", "")),
    }


@require_POST
@in_build("plan")
def keep(request: CrewRequest, build: Build) -> HttpResponse:
    form = BaselineForm(request.POST)
    if form.is_valid():
        asked = form.cleaned_data
        try:
            kept = keep_baseline(build, asked["name"], request.user, compared=asked["compared"])
        except Refused as refusal:
            form.add_error("name", refusal.message)
        else:
            messages.success(request, f"The plan is kept as “{kept}”.")
            return redirect("changes", build.slug)
    sheet = _sheet(request, build)
    del sheet["build"]
    return answer_form(request, build, "ahead/changes.html", form, **sheet)


@require_POST
@in_build("plan")
def compare(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    baseline = get_object_or_404(Baseline, build=build, pk=pk)
    compare_with(baseline)
    messages.success(request, f"Compared with “{baseline}” from now on.")
    return redirect("changes", build.slug)


@GET_OR_POST
@in_build("plan")
def delete(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    if request.method == "POST":
        baseline = Baseline.objects.filter(build=build, pk=pk).first()
        if baseline is not None:  # else a double click, or deleted in another tab
            delete_baseline(baseline)
            messages.success(request, f"“{baseline}” is deleted.")
        return redirect("changes", build.slug)
    baseline = get_object_or_404(Baseline, build=build, pk=pk)
    context = {"build": build, "sheet": "What changed", "baseline": baseline}
    return render(request, "ahead/delete_baseline.html", context)
