"""What must come before what, from the sheet of one task."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from tasks.access import CrewRequest, in_build
from tasks.forms import EditLinkForm, NewLinkForm
from tasks.models import Build, Link, Task
from tasks.plan import plan_of
from tasks.undoing import kept, undo_tag
from tasks.views.answers import alone_to_post, answer_form, back_to
from tasks.views.facts import facts_of
from tasks.views.tasks import GET_OR_POST, own_task


@GET_OR_POST
@in_build("plan")
def task_links(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    """All links of a task, and a form for another."""
    with alone_to_post(request, build):
        task = own_task(build, pk)
        form = NewLinkForm(request.POST or None, task=task)
        if request.method == "POST" and form.is_valid():
            link = form.save()
            undo = undo_tag(link, None, kept(link), "plan-network")
            words = f"Linked: {link.after} waits for {link.before}."
            messages.success(request, words, extra_tags=undo)
            return redirect(back_to(request, "task-links", build.slug, pk))
    others = Task.objects.filter(build=build).exclude(pk=pk).values_list("code", "name")
    return answer_form(
        request, build, "tasks/task_links.html", form, sheet="Links", task=task, others=others,
        facts=facts_of(plan_of(build), pk, request.user),
    )  # fmt: skip


@GET_OR_POST
@in_build("plan")
def edit_link(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    with alone_to_post(request, build) as build:
        link = _own_link(build, pk)
        before = kept(link)
        form = EditLinkForm(request.POST or None, instance=link)
        if request.method == "POST" and form.is_valid():
            form.save()
            undo = undo_tag(link, before, kept(link), "plan-network")
            words = f"Changed how {link.after} waits for {link.before}."
            messages.success(request, words, extra_tags=undo)
            return redirect(back_to(request, "task-links", build.slug, link.after_id))
    return answer_form(
        request, build, "tasks/edit_link.html", form, sheet="Links", link=_own_link(build, pk)
    )


@require_POST
@in_build("plan")
def remove_link(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    link = Link.objects.filter(build=build, pk=pk).select_related("before", "after").first()
    if link is None:  # a double click, or removed in another tab
        return redirect(back_to(request, "plan", build.slug))
    link.build = build
    number, before = link.pk, kept(link)
    link.delete()
    link.pk = number
    undo = undo_tag(link, before, None, "plan-network")
    words = f"{link.after} no longer waits for {link.before}."
    messages.success(request, words, extra_tags=undo)
    return redirect(back_to(request, "task-links", build.slug, link.after_id))


def _own_link(build: Build, pk: int) -> Link:
    links = Link.objects.select_related("before", "after")
    link = get_object_or_404(links, build=build, pk=pk)
    link.build = link.before.build = link.after.build = build
    return link
