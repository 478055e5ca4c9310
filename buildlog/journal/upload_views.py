"""Photos come in: a whole choice of them from a plain form, or one a request from the script."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods

from buildlog.journal.intake import Outcome, Place, Taken, take_all_in
from buildlog.journal.models import Entry
from buildlog.journal.photo_forms import PlaceForm
from buildlog.journal.photo_views import sent
from buildlog.journal.querysets import likely_tasks
from tasks.access import in_build
from tasks.models import Build, Task

JSON = "application/json"


@require_http_methods(["GET", "POST"])
@in_build("log")
def add(request: HttpRequest, build: Build) -> HttpResponse:
    entry = _entry_asked(request, build)
    form = PlaceForm(sent(request), build=build, tasks=_tasks_asked(request, build))
    files = request.FILES.getlist("photos")
    if request.method == "POST" and _wants_json(request):
        return _answer_script(request, build, form, files, entry)
    taken: list[Taken] = []
    if request.method == "POST":
        # What came in is kept even where its place was asked for badly; the page says so.
        place = form.place(entry) if form.is_valid() else Place(entry=entry)
        taken = take_all_in(build, request.user, files, place)
    refused = any(one.outcome == Outcome.REFUSED for one in taken)
    nothing = request.method == "POST" and not files
    return render(request, "journal/photos_add.html", {
        "build": build, "sheet": "Photos", "form": form, "entry": entry, "taken": taken,
        "tasks": likely_tasks(build), "nothing": nothing,
    }, status=422 if refused or form.errors or nothing else 200)  # fmt: skip


def _answer_script(
    request: HttpRequest, build: Build, form: PlaceForm, files: list, entry: Entry | None
) -> JsonResponse:
    """One file, one answer. A wrong place is said before anything is taken in."""
    if not form.is_valid():
        errors = [f"{form[name].label}: {e}" for name, es in form.errors.items() for e in es]
        return JsonResponse({"errors": errors}, status=422)
    if len(files) != 1:
        return JsonResponse({"errors": ["Send one photo a request."]}, status=422)
    [taken] = take_all_in(build, request.user, files, form.place(entry))
    answer = {"name": taken.name, "outcome": taken.outcome, "says": taken.outcome.label,
              "reason": taken.reason}  # fmt: skip
    if taken.photo:
        answer["url"] = taken.photo.get_absolute_url()
    status = {Outcome.NEW: 201, Outcome.KNOWN: 200, Outcome.REFUSED: 422}[taken.outcome]
    return JsonResponse(answer, status=status)


def _wants_json(request: HttpRequest) -> bool:
    return request.get_preferred_type(["text/html", JSON]) == JSON


def _entry_asked(request: HttpRequest, build: Build) -> Entry | None:
    number = request.GET.get("entry", "")
    if not number.isdecimal() or len(number) > 18:
        return None
    return get_object_or_404(Entry, build=build, pk=number)


def _tasks_asked(request: HttpRequest, build: Build) -> list[Task]:
    """The task in the address, so that a task's page can send people here."""
    number = request.GET.get("task", "")
    if not number.isdecimal() or len(number) > 18:
        return []
    return list(build.tasks.filter(pk=number))
