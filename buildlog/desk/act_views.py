"""Start, stop, finish, undo, say what is left: posted from the bench and from a task's sheet."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from buildlog.desk import actions
from buildlog.desk.use_forms import UseForm
from tasks import acts
from tasks.access import in_build
from tasks.acts import CannotDo, said
from tasks.forms import LeftForm
from tasks.models import Act, ActKind, Build, Task
from tasks.views.answers import back_to

__all__ = ["confirm_use", "finish_task", "say_left", "start_task", "stop_task", "undo_act"]


@require_POST
@in_build("log")
def start_task(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    return _do(request, build, pk, acts.start)


@require_POST
@in_build("log")
def stop_task(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    return _do(request, build, pk, acts.stop)


@require_POST
@in_build("log")
def finish_task(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    """Finish; where its parts are of some material, ask next what was used of it."""
    return _do(request, build, pk, acts.finish)


@require_POST
@in_build("log")
def say_left(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    """Nothing typed goes back to the estimate less what is logged."""
    form = LeftForm(request.POST)
    if not form.is_valid():
        wrong = " ".join(form.errors["left"])
        messages.error(request, f"What is left was not changed: {wrong}")
        return redirect(back_to(request, "task", build.slug, pk))
    minutes = form.cleaned_data["left"]
    return _do(request, build, pk, lambda task, who, now: acts.say_left(task, who, minutes, now))


@require_POST
@in_build("log")
def undo_act(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    act = get_object_or_404(Act.objects.select_related("task"), build=build, pk=pk)
    try:
        undone = actions.undo(act, request.user, timezone.now())
    except CannotDo as refusal:
        messages.error(request, refusal.message)
    else:
        messages.success(request, said(undone))
    return redirect(back_to(request, "bench", build.slug))


@require_http_methods(["GET", "HEAD", "POST"])
@in_build("log")
def confirm_use(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    """What a finished task used, proposed from its parts, confirmed or corrected."""
    finishes = Act.objects.filter(build=build, kind=ActKind.FINISH).select_related("task__stage")
    act = get_object_or_404(finishes, pk=pk)
    uses = actions.proposed_use(act)
    if not uses and request.method != "POST":
        messages.info(request, f"There is no use of material to confirm for {act.task}.")
        return redirect("task", build.slug, act.task_id)
    form = UseForm(request.POST or None, uses=uses)
    if request.method == "POST" and form.is_valid():
        try:
            actions.confirm_use(act, form.uses(), request.user)
        except CannotDo as refusal:
            messages.info(request, refusal.message)
        else:
            undo = f"undo={reverse('undo-act', args=[build.slug, act.pk])}"
            messages.success(request, f"Taken from stock for {act.task}.", extra_tags=undo)
        return redirect("bench", build.slug)
    context = {"build": build, "sheet": "Material used", "act": act, "form": form}
    return render(request, "desk/use.html", context, status=422 if form.errors else 200)


def _do(request: HttpRequest, build: Build, pk: int, act_on: Callable[..., Act]) -> HttpResponse:
    """Do it to the task, say what was done with a way back, and return to where it was asked."""
    task = get_object_or_404(Task, build=build, pk=pk)
    try:
        act = act_on(task, request.user, timezone.now())
    except CannotDo as refusal:
        messages.error(request, refusal.message)
        return redirect(back_to(request, "task", build.slug, pk))
    undo = f"undo={reverse('undo-act', args=[build.slug, act.pk])}"
    messages.success(request, said(act), extra_tags=undo)
    if actions.proposed_use(act):
        return redirect("confirm-use", build.slug, act.pk)
    return redirect(back_to(request, "task", build.slug, pk))
