from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from buildlog.materials.answers import today_in
from buildlog.materials.twins import alone_if_sent
from buildlog.money.behind import BEHIND
from buildlog.money.cost import cost_of
from buildlog.money.curve import draw_spent
from buildlog.money.forms import BudgetForm, StandingCostForm
from buildlog.money.models import Budget, StandingCost
from buildlog.paging import page_of
from tasks.access import CrewRequest, in_build
from tasks.models import Build
from tasks.plan import plan_of
from tasks.views.answers import answer_form
from tasks.views.tasks import GET_OR_POST


@require_safe
@in_build("see-money")
def money(request: CrewRequest, build: Build) -> HttpResponse:
    """What she has cost, what is ordered, what is still to go."""
    cost = cost_of(build, plan_of(build))
    context = {"build": build, "sheet": "Money", "cost": cost, "curve": draw_spent(cost)}
    return render(request, "money/money.html", context)


@require_safe
@in_build("see-money")
def money_rows(request: CrewRequest, build: Build, name: str) -> HttpResponse:
    """The rows behind one of the sums."""
    if name not in BEHIND:
        raise Http404("There is no such sum.")
    behind = BEHIND[name](cost_of(build, plan_of(build)))
    context = {
        "build": build,
        "sheet": "Money",
        "behind": behind,
        "page": page_of(request, behind.rows, per=100),
    }
    return render(request, "money/rows.html", context)


@GET_OR_POST
@in_build("money")
def standing_new(request: CrewRequest, build: Build) -> HttpResponse:
    first = build.started or today_in(build)
    with alone_if_sent(request, build) as build:
        form = StandingCostForm(
            request.POST or None, instance=StandingCost(build=build, first=first)
        )
        if request.method == "POST" and form.is_valid():
            messages.success(request, f"{form.save()} is in the books.")
            return redirect("money", build.slug)
    return answer_form(request, build, "money/standing_edit.html", form, sheet="Money")


@GET_OR_POST
@in_build("money")
def standing_edit(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    rows = StandingCost.objects.filter(build=build)
    with alone_if_sent(request, build) as build:
        row = get_object_or_404(rows, pk=pk)
        form = StandingCostForm(request.POST or None, instance=row)
        if request.method == "POST" and form.is_valid():
            messages.success(request, f"{form.save()} is in the books.")
            return redirect("money", build.slug)
    row = get_object_or_404(rows, pk=pk)
    return answer_form(
        request, build, "money/standing_edit.html", form, sheet="Money", standing=row
    )


@require_POST
@in_build("money")
def standing_delete(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    row = StandingCost.objects.filter(build=build, pk=pk).first()
    if row:  # else a double click, or deleted in another tab
        row.delete()
        messages.success(request, f"{row.name} is out of the books.")
    return redirect("money", build.slug)


@GET_OR_POST
@in_build("money")
def budget(request: CrewRequest, build: Build) -> HttpResponse:
    """The rate that is put by for the unforeseen."""
    with alone_if_sent(request, build) as build:
        row = Budget.objects.filter(build=build).first() or Budget(build=build)
        form = BudgetForm(request.POST or None, instance=row)
        if request.method == "POST" and form.is_valid():
            form.save()
            messages.success(request, "What is put by is changed.")
            return redirect("money", build.slug)
    return answer_form(request, build, "money/budget.html", form, sheet="Money")
