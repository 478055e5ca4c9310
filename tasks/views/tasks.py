"""One task: add, change, move, delete, and correct when it was done."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from tasks import changes
from tasks.access import CrewRequest, in_build
from tasks.forms import DatesForm, EstimateForm, TaskForm
from tasks.models import Build, Stage, Task
from tasks.undoing import kept, undo_tag
from tasks.views.answers import alone_to_post, answer_form, back_to

__all__ = ["delete_task", "edit_task", "move_task", "new_task", "task_dates", "task_estimate"]

GET_OR_POST = require_http_methods(["GET", "HEAD", "POST"])


def own_task(build: Build, pk: int) -> Task:
    task = get_object_or_404(Task.objects.select_related("stage"), build=build, pk=pk)
    task.build = build
    return task


@GET_OR_POST
@in_build("plan")
def new_task(request: CrewRequest, build: Build) -> HttpResponse:
    if not Stage.objects.filter(build=build).exists():
        messages.info(request, "A task belongs to a stage. Name the first stage.")
        return redirect("stages", build.slug)
    with alone_to_post(request, build) as build:
        form = TaskForm(request.POST or None, build=build, initial=_asked(request, build))
        if request.method == "POST" and form.is_valid():
            task = form.save()
            messages.success(request, f"Added {task}.")
            if "another" in request.POST:
                return redirect(f"{request.path}?stage={task.stage_id}")
            return redirect("task", build.slug, task.pk)
    return answer_form(request, build, "tasks/task_form.html", form, sheet="New task")


def _asked(request: HttpRequest, build: Build) -> dict[str, Any]:
    """The stage that the link came from; else that of the newest task."""
    asked = request.GET.get("stage", "")
    if asked.isdecimal():
        return {"stage": int(asked)}
    newest = Task.objects.filter(build=build).order_by("-pk").first()
    return {"stage": newest.stage_id} if newest else {}


@GET_OR_POST
@in_build("plan")
def edit_task(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    with alone_to_post(request, build) as build:
        task = own_task(build, pk)
        before = kept(task)
        form = TaskForm(request.POST or None, build=build, instance=task)
        if request.method == "POST" and form.is_valid():
            form.save()
            undo = "" if form.things_changed else undo_tag(task, before, kept(task), "plan")
            messages.success(request, f"Changed {task}.", extra_tags=undo)
            return redirect(back_to(request, "task", build.slug, task.pk))
    return answer_form(
        request, build, "tasks/task_form.html", form, sheet="Task", task=own_task(build, pk)
    )


@GET_OR_POST
@in_build("plan")
def task_dates(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    with alone_to_post(request, build) as build:
        task = own_task(build, pk)
        form = DatesForm(request.POST or None, instance=task)
        if request.method == "POST" and form.is_valid():
            form.save()
            messages.success(request, f"Corrected when {task} was done.")
            return redirect(back_to(request, "task", build.slug, task.pk))
    return answer_form(
        request, build, "tasks/task_dates.html", form, sheet="Task", task=own_task(build, pk)
    )


@GET_OR_POST
@in_build("plan")
def task_estimate(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    with alone_to_post(request, build) as build:
        task = own_task(build, pk)
        before = kept(task)
        form = EstimateForm(request.POST or None, instance=task)
        if request.method == "POST" and form.is_valid():
            form.save()
            undo = undo_tag(task, before, kept(task), "plan")
            messages.success(request, f"Changed how long {task} takes.", extra_tags=undo)
            return redirect(back_to(request, "task", build.slug, task.pk))
    return answer_form(
        request, build, "tasks/task_estimate.html", form, sheet="Task", task=own_task(build, pk)
    )


@GET_OR_POST
@in_build("plan")
def delete_task(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    task = own_task(build, pk)
    if request.method == "POST":
        name = str(task)
        try:
            with changes.alone_on(build):
                changes.delete_task(task)
        except changes.Refused as refusal:
            messages.error(request, refusal.message)
            return redirect("task", build.slug, pk)
        messages.success(request, f"Deleted {name}.")
        return redirect("plan-list", build.slug)
    links = task.links_in.count() + task.links_out.count()
    context = {"build": build, "sheet": "Task", "task": task, "links": links}
    return render(request, "tasks/delete_task.html", context)


@require_POST
@in_build("plan")
def move_task(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    with alone_to_post(request, build):
        task = own_task(build, pk)
        way = "up" if request.POST.get("way") == "up" else "down"
        changes.move(task, Task.objects.filter(stage=task.stage), way)
    return redirect(back_to(request, "plan-list", build.slug))
