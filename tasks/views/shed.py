"""Hands that help, things that tasks hold, and limits that work keeps to."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.db.models import Count
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from tasks.access import CrewRequest, in_build
from tasks.forms.shed import (
    AlwaysThereForm,
    HeatedDaysForm,
    HelpDayForm,
    ThingForm,
    WorkLimitForm,
)
from tasks.models import Build, HeatedDays, HelpDay, Thing, WorkLimit
from tasks.views.answers import alone_to_post, answer_form
from tasks.views.tasks import GET_OR_POST

#: What stands in the address of each sort of row: its form, and what it is called.
SORTS: dict[str, tuple[type[Any], str]] = {
    "help": (HelpDayForm, "help"),
    "things": (ThingForm, "thing"),
    "limits": (WorkLimitForm, "limit"),
    "heated": (HeatedDaysForm, "heating"),
}


@GET_OR_POST
@in_build("plan")
def hands(request: CrewRequest, build: Build) -> HttpResponse:
    """The sheet of all of it; what is sent here is how many hands are always there."""
    with alone_to_post(request, build) as build:
        form = AlwaysThereForm(request.POST or None, instance=build)
        if request.method == "POST" and form.is_valid():
            form.save()
            messages.success(request, "Kept how many are always there.")
            return redirect("hands", build.slug)
    return _sheet(request, build, always_form=form)


@require_POST
@in_build("plan")
def add(request: CrewRequest, build: Build, sort: str) -> HttpResponse:
    form_class, called = _sort(sort)
    with alone_to_post(request, build) as build:
        form = form_class(request.POST, build=build, auto_id=f"{sort}_%s")
        if form.is_valid():
            row = form.save()
            messages.success(request, f"Added the {called} “{row}”. The order of work follows it.")
            return redirect("hands", build.slug)
    return _sheet(request, build, **{f"{sort}_form": form})


@GET_OR_POST
@in_build("plan")
def change(request: CrewRequest, build: Build, sort: str, pk: int) -> HttpResponse:
    form_class, called = _sort(sort)
    with alone_to_post(request, build) as build:
        row = get_object_or_404(form_class._meta.model, build=build, pk=pk)
        form = form_class(request.POST or None, build=build, instance=row)
        if request.method == "POST" and form.is_valid():
            form.save()
            messages.success(request, f"Changed the {called} “{row}”.")
            return redirect("hands", build.slug)
    row = get_object_or_404(form_class._meta.model, build=build, pk=pk)
    return answer_form(
        request, build, "tasks/shed_row.html", form, sheet="Hands", row=row, sort=sort,
        called=called,
    )  # fmt: skip


@require_POST
@in_build("plan")
def remove(request: CrewRequest, build: Build, sort: str, pk: int) -> HttpResponse:
    form_class, called = _sort(sort)
    for row in form_class._meta.model.objects.filter(build=build, pk=pk):
        row.delete()
        messages.success(request, f"Took the {called} “{row}” off.")
    return redirect("hands", build.slug)


def _sort(sort: str) -> tuple[type[Any], str]:
    if sort not in SORTS:
        raise Http404("There is no such list.")
    return SORTS[sort]


def _sheet(request: CrewRequest, build: Build, **forms: Any) -> HttpResponse:
    """The sheet, with the form that was sent among the empty ones."""
    sent = next(iter(forms.values()))
    shown = {
        "always_form": AlwaysThereForm(instance=build),
        **{
            f"{sort}_form": form(build=build, auto_id=f"{sort}_%s")
            for sort, (form, _) in SORTS.items()
        },
    } | forms
    today = timezone.localdate()
    help_days = HelpDay.objects.filter(build=build)
    return answer_form(
        request, build, "tasks/hands.html", sent, sheet="Hands",
        help_days=help_days.exclude(last__lt=today).exclude(
            weekday=None, last=None, first__lt=today
        ),
        things=Thing.objects.filter(build=build).annotate(tasks=Count("needed_by")),
        limits=WorkLimit.objects.filter(build=build)
        .annotate(tasks_kept=Count("tasks"))
        .select_related("lifted_by"),
        heated_days=HeatedDays.objects.filter(build=build, last__gte=today),
        **shown,
    )  # fmt: skip
