from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from buildlog.money.behind import BEHIND
from buildlog.money.cost import cost_of
from buildlog.money.curve import draw_spent
from buildlog.money.forms import BudgetForm, StandingCostForm
from buildlog.money.models import Budget, StandingCost
from buildlog.paging import page_of
from tasks.access import in_build
from tasks.models import Build
from tasks.plan import plan_of


@in_build("see-money")
def money(request: HttpRequest, build: Build) -> HttpResponse:
    """What she has cost, what is ordered, what is still to go."""
    cost = cost_of(build, plan_of(build))
    context = {"build": build, "sheet": "Money", "cost": cost, "curve": draw_spent(cost)}
    return render(request, "money/money.html", context)


@in_build("see-money")
def money_rows(request: HttpRequest, build: Build, name: str) -> HttpResponse:
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


@in_build("money")
def standing_new(request: HttpRequest, build: Build) -> HttpResponse:
    return _edit_standing(request, build, StandingCost(build=build, first=build.started))


@in_build("money")
def standing_edit(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    return _edit_standing(request, build, get_object_or_404(StandingCost, build=build, pk=pk))


def _edit_standing(request: HttpRequest, build: Build, row: StandingCost) -> HttpResponse:
    form = StandingCostForm(request.POST or None, instance=row)
    if request.method == "POST":
        if "delete" in request.POST and row.pk:
            row.delete()
            messages.success(request, f"{row.name} is out of the books.")
            return redirect("money", build.slug)
        if form.is_valid():
            form.save()
            messages.success(request, f"{row.name} is in the books.")
            return redirect("money", build.slug)
    context = {"build": build, "sheet": "Money", "form": form, "standing": row}
    return render(request, "money/standing_edit.html", context)


@in_build("money")
def budget(request: HttpRequest, build: Build) -> HttpResponse:
    """The rate that is put by for the unforeseen."""
    row = Budget.objects.filter(build=build).first() or Budget(build=build)
    form = BudgetForm(request.POST or None, instance=row)
    if request.method == "POST" and form.is_valid():
        Budget.objects.update_or_create(build=build, defaults=form.cleaned_data)
        return redirect("money", build.slug)
    return render(request, "money/budget.html", {"build": build, "sheet": "Money", "form": form})
