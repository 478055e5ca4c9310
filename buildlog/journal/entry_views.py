"""The log: its entries by day, and one of them."""

from __future__ import annotations

import secrets

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from buildlog.journal import writing
from buildlog.journal.entry_forms import EntryForm, HoursRows, LogFilter, today_of
from buildlog.journal.intake import Outcome, Place, Taken, put_in_place, take_all_in
from buildlog.journal.models import Entry, Photo
from buildlog.journal.photo_views import sent
from buildlog.journal.querysets import likely_tasks
from buildlog.paging import page_of
from tasks.access import in_build
from tasks.models import Build, Task

ENTRIES_A_PAGE = 30
JSON = "application/json"


@require_GET
@in_build("look")
def log(request: HttpRequest, build: Build) -> HttpResponse:
    form = LogFilter(request.GET, build=build)
    page = page_of(request, form.entries().to_read(), per=ENTRIES_A_PAGE)
    return render(request, "journal/log.html", {
        "build": build, "sheet": "Log", "form": form, "page": page,
        "asked": any(request.GET.get(name) for name in form.fields),
        "tasks": likely_tasks(build), "key": new_key(),
    })  # fmt: skip


@require_GET
@in_build("look")
def entry(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    found = get_object_or_404(build.entries.to_read(), pk=pk)
    return render(request, "journal/entry.html", {
        "build": build, "sheet": "Log", "entry": found,
        "may_change": writing.may_change(request.crew, found),
    })  # fmt: skip


@require_http_methods(["GET", "POST"])
@in_build("log")
def new(request: HttpRequest, build: Build) -> HttpResponse:
    first = {"day": today_of(build), "key": new_key()}
    form = EntryForm(
        sent(request), request.FILES or None, build=build, initial=first,
        tasks=_tasks_asked(request, build),
    )  # fmt: skip
    hours = HoursRows(sent(request), crew=request.crew)
    if request.method == "POST":
        taken, photos = _photos_sent(request, build)
        if form.is_valid() and hours.is_valid():
            made, _ = writing.add_entry(build, request.crew, form.writing(hours.rows()))
            return _kept(request, build, made, taken, photos)
        return _page(request, build, form, hours, taken=taken, photos=photos)
    return _page(request, build, form, hours)


@require_http_methods(["GET", "POST"])
@in_build("log")
def edit(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    found = get_object_or_404(build.entries.to_read(), pk=pk)
    if not writing.may_change(request.crew, found):
        raise PermissionDenied("It is another's entry: only a planner or the owner may change it.")
    works = list(found.work.all())
    form = EntryForm(sent(request), build=build, entry=found, initial=_as_it_is(found))
    hours = HoursRows(sent(request), crew=request.crew, works=works)
    if request.method == "GET":
        return _page(request, build, form, hours, found)
    taken, photos = _photos_sent(request, build)
    if not (form.is_valid() and hours.is_valid()):
        return _page(request, build, form, hours, found, taken, photos)
    try:
        if hours.strange:
            raise writing.Stale("Some of these hours were removed meanwhile.")
        version = form.cleaned_data["version"] or 0
        writing.change_entry(found, request.crew, form.writing(hours.rows()), version)
    except writing.Stale as stale:
        return _both_texts(request, build, pk, stale, taken, photos)
    return _kept(request, build, found, taken, photos)


@require_http_methods(["GET", "POST"])
@in_build("log")
def delete(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    found = get_object_or_404(build.entries.to_read(), pk=pk)
    if not writing.may_change(request.crew, found):
        raise PermissionDenied("It is another's entry: only a planner or the owner may delete it.")
    own = [w for w in found.work.all() if writing.may_change_hours(request.crew, w)]
    if request.method == "POST":
        with_hours = request.POST.get("hours") == "delete"
        writing.delete_entry(found, request.crew, with_hours=with_hours)
        messages.success(request, "The entry is deleted.")
        return redirect("log", build.slug)
    return render(request, "journal/entry_delete.html", {
        "build": build, "sheet": "Log", "entry": found, "own": own,
        "own_minutes": sum(work.minutes for work in own),
    })  # fmt: skip


def new_key() -> str:
    """What makes a form that is sent twice one entry."""
    return secrets.token_urlsafe(18)


def _page(
    request: HttpRequest, build: Build, form: EntryForm, hours: HoursRows,
    entry: Entry | None = None, taken: list[Taken] | None = None, photos: list[Photo] | None = None,
    theirs: Entry | None = None, status: int | None = None,
) -> HttpResponse:  # fmt: skip
    wrong = form.is_bound and not (form.is_valid() and hours.is_valid())
    others = [w for w in entry.work.all() if w.pk not in hours.own] if entry else []
    return render(request, "journal/entry_edit.html", {
        "build": build, "sheet": "Log", "form": form, "hours": hours, "entry": entry,
        "others": others, "taken": taken or [], "photos": photos or [], "theirs": theirs,
        "tasks": likely_tasks(build),
    }, status=status or (422 if wrong else 200))  # fmt: skip


def _both_texts(
    request: HttpRequest, build: Build, pk: int, stale: writing.Stale, taken: list[Taken],
    photos: list[Photo],
) -> HttpResponse:  # fmt: skip
    """What was typed, beside what the entry says now; saving once more is then a choice."""
    now = get_object_or_404(build.entries.to_read(), pk=pk)
    typed = request.POST.copy()
    typed["version"] = str(now.version)
    works = list(now.work.all())
    minutes = {str(work.pk): work.minutes for work in works}
    for name in [name for name in typed if name.startswith("hours-") and name.endswith("-work")]:
        was = name.removesuffix("-work") + "-was"
        if typed[name] in minutes:
            typed[was] = str(minutes[typed[name]])
        else:
            typed[name] = typed[was] = ""
    messages.error(request, f"{stale.reason} Nothing was saved: compare the two and save again.")
    form = EntryForm(typed, build=build, entry=now)
    hours = HoursRows(typed, crew=request.crew, works=works)
    return _page(request, build, form, hours, now, taken, photos, theirs=now, status=409)


def _as_it_is(entry: Entry) -> dict[str, object]:
    names = ("day", "text", "air_c", "surface_c", "humidity", "version")
    return {name: getattr(entry, name) for name in names} | {"key": new_key()}


def _photos_sent(request: HttpRequest, build: Build) -> tuple[list[Taken], list[Photo]]:
    """Take photos in at once, so that none is lost if the form comes back with errors."""
    taken = take_all_in(build, request.user, request.FILES.getlist("photos"))
    sent = [int(n) for n in request.POST.getlist("kept_photo") if n.isdecimal() and len(n) < 19]
    before = list(build.photos.filter(pk__in=sent, person=request.user)) if sent else []
    return taken, [*before, *(one.photo for one in taken if one.photo)]


def _kept(
    request: HttpRequest, build: Build, entry: Entry, taken: list[Taken], photos: list[Photo]
) -> HttpResponse:
    for photo in photos:
        put_in_place(photo, Place(tasks=tuple(entry.tasks.all()), entry=entry))
    for one in taken:
        if one.outcome == Outcome.REFUSED:
            messages.error(request, f"{one.name} was refused. {one.reason}")
    messages.success(request, "The entry is kept.")
    return answer_kept(request, entry.get_absolute_url())


def answer_kept(request: HttpRequest, url: str) -> HttpResponse:
    """Say where to go on: by redirect, or in JSON to the script that keeps what is typed."""
    if request.get_preferred_type(["text/html", JSON]) == JSON:
        return JsonResponse({"url": url}, status=201)
    return redirect(url)


def _tasks_asked(request: HttpRequest, build: Build) -> list[Task]:
    number = request.GET.get("task", "")
    if not number.isdecimal() or len(number) > 18:
        return []
    return list(build.tasks.filter(pk=number))
