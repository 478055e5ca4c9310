"""The stages of a build, in order."""

from __future__ import annotations

from django.contrib import messages
from django.db.models import Count, Q
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from tasks import changes
from tasks.access import CrewRequest, in_build
from tasks.forms import StageForm
from tasks.models import Build, Stage
from tasks.views.answers import alone_to_post, answer_form
from tasks.views.tasks import GET_OR_POST


@GET_OR_POST
@in_build("plan")
def stages(request: CrewRequest, build: Build) -> HttpResponse:
    with alone_to_post(request, build):
        form = StageForm(request.POST or None, build=build)
        if request.method == "POST" and form.is_valid():
            stage = form.save()
            messages.success(request, f"Added the stage {stage}.")
            return redirect("stages", build.slug)
    rows = Stage.objects.filter(build=build).annotate(
        all_tasks=Count("tasks"),
        finished=Count("tasks", filter=Q(tasks__finished_at__isnull=False)),
    )
    return answer_form(request, build, "tasks/stages.html", form, sheet="Stages", stages=rows)


@GET_OR_POST
@in_build("plan")
def edit_stage(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    with alone_to_post(request, build) as build:
        stage = _own_stage(build, pk)
        form = StageForm(request.POST or None, build=build, instance=stage)
        if request.method == "POST" and form.is_valid():
            form.save()
            messages.success(request, f"The stage is called {stage} now.")
            return redirect("stages", build.slug)
    stage = _own_stage(build, pk)
    return answer_form(request, build, "tasks/edit_stage.html", form, sheet="Stages", stage=stage)


@require_POST
@in_build("plan")
def move_stage(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    with changes.alone_on(build) as build:
        way = "up" if request.POST.get("way") == "up" else "down"
        changes.move(_own_stage(build, pk), Stage.objects.filter(build=build), way)
    return redirect("stages", build.slug)


@require_POST
@in_build("plan")
def delete_stage(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    stage = Stage.objects.filter(build=build, pk=pk).first()
    if stage:  # else a double click, or deleted in another tab
        name = str(stage)
        try:
            changes.delete_stage(stage)
            messages.success(request, f"Deleted the stage {name}.")
        except changes.Refused as refusal:
            messages.error(request, refusal.message)
    return redirect("stages", build.slug)


def _own_stage(build: Build, pk: int) -> Stage:
    return get_object_or_404(Stage, build=build, pk=pk)
