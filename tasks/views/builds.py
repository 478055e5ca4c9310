"""A build as a whole: start one, and what holds for all of it."""

from __future__ import annotations

import datetime as dt

from django.contrib import messages
from django.db.models import Sum
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils import timezone

from tasks import changes, outline
from tasks.access import CrewRequest, SignedIn, in_build
from tasks.forms import BuildForm, DeleteBuildForm, NewBuildForm
from tasks.models import Build, Person, Work
from tasks.views.answers import alone_to_post, answer_form
from tasks.views.tasks import GET_OR_POST

#: The same name sent twice within this time is one build, clicked twice.
DOUBLE_CLICK = dt.timedelta(seconds=30)


@GET_OR_POST
def new_build(request: SignedIn) -> HttpResponse:
    form = NewBuildForm(request.POST or None, initial=_as_last_time(request.user))
    if request.method == "POST" and form.is_valid():
        build = _start(request, form)
        return redirect("lists" if form.wants_lists else "plan", build.slug)
    return answer_form(request, None, "tasks/new_build.html", form, sheet="New build")


def _start(request: SignedIn, form: NewBuildForm) -> Build:
    with changes.alone(request.user) as person:
        twin = Build.objects.seen_by(person).filter(
            name=form.instance.name, made_at__gt=timezone.now() - DOUBLE_CLICK
        )
        if build := twin.first():
            return build
        build = changes.make_build(form.instance, person, form.week())
        written = outline.draft(build) if form.wants_outline else 0
    text = f"{build} has her own sheets now."
    if written:
        text += f" {written} tasks are drafted: change the hours and links into your own."
    messages.success(request, text)
    return build


def _as_last_time(person: Person) -> dict[str, object]:
    """Units and money as in the newest build of this person."""
    last = Build.objects.seen_by(person).order_by("-pk").first()
    if last is None:
        return {}
    names = ("length_system", "denominator", "currency", "time_zone")
    return {name: getattr(last, name) for name in names}


@GET_OR_POST
@in_build("own")
def build_settings(request: CrewRequest, build: Build) -> HttpResponse:
    with alone_to_post(request, build) as build:
        form = BuildForm(request.POST or None, instance=build)
        if request.method == "POST" and form.is_valid():
            form.save()
            build.touch_plan()
            messages.success(request, "Kept what holds for the whole build.")
            return redirect("build-settings", build.slug)
    fresh = Build.objects.get(pk=build.pk)
    return answer_form(request, fresh, "tasks/build_settings.html", form, sheet="Build")


@GET_OR_POST
@in_build("own")
def delete_build(request: CrewRequest, build: Build) -> HttpResponse:
    """Delete a build for good, once its name was typed."""
    form = DeleteBuildForm(request.POST or None, build=build)
    if request.method == "POST" and form.is_valid():
        changes.delete_build(build)
        messages.success(request, f"{build.name} and all that belonged to her is deleted.")
        return redirect("/?all=yes")
    counts = {
        "tasks": build.tasks.count(),
        "hours": Work.objects.filter(build=build).aggregate(all=Sum("minutes", default=0))["all"],
    }
    return answer_form(
        request, build, "tasks/delete_build.html", form, sheet="Build", counts=counts
    )
