"""Supporters and what came from them: for the owner's eyes."""

from __future__ import annotations

from django.contrib import messages
from django.db.models import Sum
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from buildlog.paging import page_of
from buildlog.supporters.forms import ContributionForm, SupporterForm
from buildlog.supporters.models import Contribution, Supporter
from tasks.access import in_build
from tasks.models import Build


@require_safe
@in_build("share")
def supporters(request: HttpRequest, build: Build) -> HttpResponse:
    found = request.GET.get("find", "").replace("\0", " ").strip()
    rows = build.supporters.with_given()
    if found:
        rows = rows.filter(name__icontains=found)
    given = Contribution.objects.filter(supporter__build=build).aggregate(all=Sum("amount"))["all"]
    context = {
        "build": build,
        "sheet": "Supporters",
        "page": page_of(request, rows.order_by("-since", "name", "pk")),
        "found": found,
        "given": given or 0,
        "agreed": build.supporters.filter(agreed=True).count(),
    }
    return render(request, "supporters/supporters.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@in_build("share")
def add_supporter(request: HttpRequest, build: Build) -> HttpResponse:
    new = Supporter(build=build, since=timezone.localdate())
    form = SupporterForm(request.POST or None, instance=new)
    if form.is_valid():
        form.save()
        messages.success(request, f"{new} is on your list.")
        return redirect("supporter", build.slug, new.pk)
    context = {"build": build, "sheet": "Supporters", "form": form}
    return render(request, "supporters/supporter-add.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@in_build("share")
def supporter(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    row = get_object_or_404(build.supporters.with_given(), pk=pk)
    form = SupporterForm(request.POST or None, instance=row)
    if form.is_valid():
        form.save()
        messages.success(request, "Saved.")
        return redirect("supporter", build.slug, pk)
    return _supporter_page(request, build, row, form=form)


def _supporter_page(
    request: HttpRequest, build: Build, row: Supporter, status: int = 200, **more: object
) -> HttpResponse:
    new = Contribution(supporter=row, day=timezone.localdate())
    context = {
        "build": build,
        "sheet": "Supporters",
        "supporter": row,
        "contributions": row.contributions.all(),
        "form": SupporterForm(instance=row),
        "contribution_form": ContributionForm(
            instance=new, currency=build.currency, prefix="contribution"
        ),
    }
    return render(request, "supporters/supporter.html", context | more, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@in_build("share")
def delete_supporter(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    """Asks first: what came from them goes with the row."""
    row = get_object_or_404(build.supporters.with_given(), pk=pk)
    if request.method == "POST":
        row.delete()
        messages.success(request, f"{row} is no longer on your list.")
        return redirect("supporters", build.slug)
    context = {
        "build": build,
        "sheet": "Supporters",
        "supporter": row,
        "count": row.contributions.count(),
    }
    return render(request, "supporters/supporter-delete.html", context)


@require_POST
@in_build("share")
def add_contribution(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    row = get_object_or_404(build.supporters.with_given(), pk=pk)
    form = ContributionForm(
        request.POST,
        instance=Contribution(supporter=row),
        currency=build.currency,
        prefix="contribution",
    )
    if not form.is_valid():
        return _supporter_page(request, build, row, status=422, contribution_form=form)
    form.save()
    messages.success(request, "Noted.")
    return redirect("supporter", build.slug, pk)


@require_POST
@in_build("share")
def delete_contribution(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    row = get_object_or_404(Contribution.objects.filter(supporter__build=build), pk=pk)
    row.delete()
    messages.success(request, f"The line of {row.day:%d.%m.%Y} is struck out.")
    return redirect("supporter", build.slug, row.supporter_id)
