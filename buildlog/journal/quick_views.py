"""A line for the log, written at the bench."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from buildlog.journal.entry_forms import QuickForm
from buildlog.journal.entry_views import answer_kept, new_key
from buildlog.journal.photo_views import sent
from buildlog.journal.querysets import likely_tasks
from buildlog.journal.writing import add_entry
from tasks.access import in_build
from tasks.models import Build, Person, Task, Work
from tasks.views.answers import own_address


@require_http_methods(["GET", "POST"])
@in_build("log")
def quick(request: HttpRequest, build: Build) -> HttpResponse:
    form = QuickForm(sent(request), build=build, initial={"key": new_key()})
    if request.method == "POST" and form.is_valid():
        line = form.writing(or_task=running_task(build, request.user))
        entry, _ = add_entry(build, request.crew, line)
        undo = reverse("log-delete", args=[build.slug, entry.pk])
        task = f" under {line.tasks[0]}" if line.tasks else ""
        messages.success(request, f"Kept in the log{task}.", extra_tags=f"undo={undo}")
        return answer_kept(request, where_next(request, reverse("log", args=[build.slug])))
    return render(request, "journal/quick.html", {
        "build": build, "sheet": "Log", "form": form, "tasks": likely_tasks(build),
        "next": request.POST.get("next", ""),
    }, status=422 if form.errors else 200)  # fmt: skip


def running_task(build: Build, person: Person) -> Task | None:
    """The task that the person's clock runs on."""
    clock = Work.objects.filter(build=build, person=person, minutes=None).select_related("task")
    work = clock.first()
    return work.task if work else None


def where_next(request: HttpRequest, otherwise: str) -> str:
    return own_address(request, "next") or otherwise
