from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe
from django_htmx.http import HttpResponseClientRedirect

from buildlog.lists import taking, uploads
from buildlog.lists.bringing import CannotBring, counts, faults
from buildlog.lists.forms import CorrectedForm, LookForm, UploadForm
from buildlog.lists.kinds import KINDS, Kind
from buildlog.lists.models import Upload
from buildlog.lists.reading import Refused
from buildlog.lists.showing import shown_columns, shown_rows
from tasks.access import CrewRequest, in_build
from tasks.models import Build

MOST_FAULTS_SHOWN = 100


def kinds_brought(request: CrewRequest) -> list[Kind]:
    return [kind for kind in KINDS.values() if request.crew.may(kind.right)]


def upload_or_404(request: CrewRequest, build: Build, pk: int) -> Upload:
    """A list on its way into this build, if the person may bring in lists of its kind."""
    upload = get_object_or_404(Upload, build=build, pk=pk)
    if not request.crew.may(upload.of.right):
        raise PermissionDenied(f"As {request.crew.get_role_display()}, you may not bring this in.")
    upload.build = build
    return upload


@in_build("look")
def lists(request: CrewRequest, build: Build) -> HttpResponse:
    """Where lists come in and go out."""
    kinds = kinds_brought(request)
    form = UploadForm(request.POST or None, request.FILES or None, kinds=kinds)
    if request.method == "POST" and form.is_valid():
        upload = _take(request, build, form)
        if upload:
            return redirect(upload)
    waiting = (
        Upload.objects.filter(build=build)
        .waiting()
        .defer("content")
        .filter(kind__in=[k.key for k in kinds])
    )
    context = {
        "build": build,
        "sheet": "Lists",
        "form": form if kinds else None,
        "kinds": kinds,
        "taken": taking.kinds_seen(request.crew.rights),
        "waiting": waiting[:20],
    }
    return render(request, "lists/lists.html", context)


def _take(request: CrewRequest, build: Build, form: UploadForm) -> Upload | None:
    """Keep the file that was sent; None, with the reason on the form, if it cannot be read."""
    kind = form.cleaned_data["kind"]
    try:
        upload = uploads.take(
            build, request.user, form.cleaned_data["file"], kind, kinds_brought(request)
        )
    except Refused as refused:
        form.add_error("file", str(refused))
        return None
    return upload


@never_cache
@in_build("look")
def look(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    """What a list would do. It is written from here, and only as it was shown."""
    upload = upload_or_404(request, build, pk)
    if upload.written_at:
        return _done(request, build, upload)
    if job := uploads.open_job(upload):
        template = "lists/_under_way.html" if request.htmx else "lists/under_way.html"
        context = {"build": build, "sheet": "Lists", "upload": upload, "job": job}
        return render(request, template, context)
    try:
        bringing = uploads.look_at(upload, request.user)
    except Refused as refused:
        return _unreadable(request, build, upload, str(refused))
    form = LookForm(request.POST or None, bringing=bringing, kind=upload.of)
    if request.method == "POST" and form.is_valid():
        if form.has_changed() or "bring" not in request.POST:
            upload.answers = form.answers()
            upload.save(update_fields=["stored_answers", "changed_at"])
            if "bring" in request.POST:
                messages.info(request, "Read again with what you said. Look, then bring it in.")
            return redirect(upload)
        return _bring_in(request, upload, bringing)
    return _show(request, build, upload, bringing, form)


def _bring_in(request: CrewRequest, upload: Upload, bringing: Any) -> HttpResponse:
    leave_out = request.POST.get("bring") == "others"
    try:
        uploads.bring_in(upload, request.user, bringing, leave_out=leave_out)
    except CannotBring as reason:
        messages.error(request, f"Nothing was brought in. {reason}")
    return redirect(upload)


def _show(
    request: CrewRequest, build: Build, upload: Upload, bringing: Any, form: LookForm
) -> HttpResponse:
    wrong = faults(bringing)
    context = {
        "build": build,
        "sheet": "Lists",
        "upload": upload,
        "kind": upload.of,
        "bringing": bringing,
        "counts": counts(bringing),
        "faults": wrong[:MOST_FAULTS_SHOWN],
        "tasks_missing": sum(1 for fault in wrong if fault.rule == "no-such-task") > 1,
        "more_faults": max(len(wrong) - MOST_FAULTS_SHOWN, 0),
        "form": form,
        "corrected": CorrectedForm(),
        "columns": shown_columns(bringing),
        "rows": shown_rows(bringing),
    }
    return render(request, "lists/look.html", context)


def _unreadable(request: CrewRequest, build: Build, upload: Upload, reason: str) -> HttpResponse:
    """A file that cannot be read in the way that was said: say why, and offer the way back."""
    if request.method == "POST":
        upload.stored_answers = {}
        upload.save(update_fields=["stored_answers", "changed_at"])
        return redirect(upload)
    context = {"build": build, "sheet": "Lists", "upload": upload, "reason": reason,
               "corrected": CorrectedForm()}  # fmt: skip
    return render(request, "lists/unreadable.html", context)


def _done(request: CrewRequest, build: Build, upload: Upload) -> HttpResponse:
    if request.htmx:
        return HttpResponseClientRedirect(upload.get_absolute_url())
    context = {"build": build, "sheet": "Lists", "upload": upload, "kind": upload.of,
               "result": upload.result}  # fmt: skip
    return render(request, "lists/done.html", context)


@require_POST
@in_build("look")
def corrected(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    """Take a corrected file in place of the one that had faults."""
    upload = upload_or_404(request, build, pk)
    form = CorrectedForm(request.POST, request.FILES)
    if upload.written_at or uploads.open_job(upload):
        messages.error(request, "This list is in already. Bring the corrected one as a new list.")
    elif not form.is_valid():
        messages.error(request, "Choose the corrected file first.")
    else:
        try:
            uploads.replace(upload, form.cleaned_data["corrected"])
            messages.success(request, f"{upload.name} took its place.")
        except Refused as refused:
            messages.error(request, f"The file before stays. {refused}")
    return redirect(upload)


@require_POST
@in_build("look")
def throw_away(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    upload = upload_or_404(request, build, pk)
    if upload.written_at is None and not uploads.open_job(upload):
        upload.delete()
        messages.success(request, f"{upload.name} is thrown away. Nothing of it was brought in.")
    return redirect("lists", build.slug)


@require_safe
@in_build("look")
def take_out(request: CrewRequest, build: Build, what: str, form: str) -> HttpResponse:
    """A list as a file. `what` is a kind, or `all` for a workbook with a sheet of each."""
    seen = {kind.key: kind for kind in taking.kinds_seen(request.crew.rights)}
    money = request.crew.may("see-money")
    if what == "all" and form == "xlsx":
        content = taking.workbook_of(build, seen.values(), money)
    elif what not in KINDS:
        raise Http404("There is no such list.")
    elif what not in seen:
        raise PermissionDenied("You may not see this list.")
    elif form == "csv":
        content = taking.csv_of(build, seen[what], money)
    else:
        content = taking.workbook_of(build, [seen[what]], money)
    response = HttpResponse(content, content_type=taking.FORMS[form])
    name = taking.file_name(build, what, form)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    response["Cache-Control"] = "private, no-store"
    return response
