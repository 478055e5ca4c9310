"""Parts: the list, one by one, and several at once."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from buildlog.materials.answers import task_list, with_more_lines
from buildlog.materials.models import Part
from buildlog.materials.part_forms import PartForm, PartRows, TaskChoice
from buildlog.materials.part_rows import find_parts, row_of, rows_of
from buildlog.materials.twins import alone_if_sent
from buildlog.paging import page_of
from tasks.access import CrewRequest, in_build
from tasks.models import Build, Task
from tasks.views.answers import answer_form, back_to
from tasks.views.tasks import GET_OR_POST


@require_safe
@in_build("look")
def parts(request: CrewRequest, build: Build) -> HttpResponse:
    page = page_of(request, find_parts(build, request.GET), 40)
    asked = {name: request.GET.get(name, "") for name in ("stage", "task", "material", "words")}
    context = {
        "build": build,
        "sheet": "Parts",
        "page": page,
        "rows": rows_of(page),
        "asked": asked,
        "filtered": any(asked.values()),
        "stages": build.stages.all(),
        "materials": build.materials.all(),
        "task": _asked_task(request, build),
        "rights": request.crew.rights,
    }
    return render(request, "materials/parts.html", context)


def _asked_task(request: CrewRequest, build: Build) -> Task | None:
    """The task that the link came from, named by its key."""
    asked = request.GET.get("task", "")
    return build.tasks.filter(pk=asked).first() if asked.isdecimal() and len(asked) < 19 else None


@GET_OR_POST
@in_build("plan")
def part_new(request: CrewRequest, build: Build) -> HttpResponse:
    with alone_if_sent(request, build) as build:
        task = _asked_task(request, build)
        start: dict[str, Any] = {"task": task, "material": request.GET.get("material")}
        form = PartForm(
            request.POST or None, build=build, materials=list(build.materials.all()), initial=start
        )
        if request.method == "POST" and (form.is_valid() or form.twin()):
            row = form.twin() or form.save()
            messages.success(request, f"Added {row}.")
            if "another" in request.POST:
                return redirect(_again(build, row))
            return redirect(back_to(request, "parts", build.slug))
    return _answer(request, build, form, sheet="New part", task=task)


def _again(build: Build, row: Part) -> str:
    asked = {"material": row.material_id} | ({"task": row.task_id} if row.task_id else {})
    return f"{reverse('part-new', args=[build.slug])}?{urlencode(asked)}"


def _answer(request: CrewRequest, build: Build, form: PartForm, **more: Any) -> HttpResponse:
    return answer_form(
        request, build, "materials/part_form.html", form, task_list=task_list(build),
        back=_back(request), **more,
    )  # fmt: skip


def _back(request: CrewRequest) -> str:
    return request.POST.get("back") or request.GET.get("back", "")


@GET_OR_POST
@in_build("plan")
def part_edit(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    with alone_if_sent(request, build) as build:
        part = _own_part(build, pk)
        form = PartForm(
            request.POST or None, build=build, materials=list(build.materials.all()), instance=part
        )
        if request.method == "POST" and form.is_valid():
            form.save()
            messages.success(request, f"Changed {part}.")
            return redirect(back_to(request, "parts", build.slug))
    part = _own_part(build, pk)
    return _answer(request, build, form, sheet="Part", part=part, row=row_of(part))


def _own_part(build: Build, pk: int) -> Part:
    return get_object_or_404(build.parts.select_related("task__stage", "material"), pk=pk)


@GET_OR_POST
@in_build("plan")
def part_delete(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    if request.method == "POST" and not build.parts.filter(pk=pk).exists():
        return redirect(back_to(request, "parts", build.slug))  # a second click
    part = _own_part(build, pk)
    if request.method == "POST":
        part.delete()
        messages.success(request, f"Deleted {part}.")
        return redirect(back_to(request, "parts", build.slug))
    context = {"build": build, "sheet": "Part", "part": part, "back": _back(request)}
    return render(request, "materials/part_delete.html", context)


@GET_OR_POST
@in_build("plan")
def parts_new(request: CrewRequest, build: Build) -> HttpResponse:
    """Several parts of one task at once. `more` asks for more lines; nothing typed is lost."""
    with alone_if_sent(request, build) as build:
        choice = TaskChoice(request.POST or None, build=build, task=_asked_task(request, build))
        sent = request.method == "POST"
        chosen = choice.is_valid() if sent else False
        task = choice.cleaned_data["task"] if chosen else None
        rows = PartRows(with_more_lines(request, "form") if sent else None, build=build, task=task)
        if chosen and "more" not in request.POST and (rows.is_valid() or rows.sent_before()):
            added = len(rows.filled) if rows.sent_before() else len(rows.save())
            messages.success(request, f"Added {added} part{'s' if added != 1 else ''}.")
            asked = f"?task={task.pk}" if task else ""
            return redirect(reverse("parts", args=[build.slug]) + asked)
    refused = sent and "more" not in request.POST
    context = {
        "build": build, "sheet": "New parts", "choice": choice, "rows": rows,
        "task_list": task_list(build), "refused": refused,
    }  # fmt: skip
    return render(request, "materials/parts_new.html", context, status=422 if refused else 200)
