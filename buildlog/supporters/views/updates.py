"""What the builder tells, the photos with it, and the act of showing either."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from buildlog.journal.models import Photo
from buildlog.paging import page_of
from buildlog.supporters import showing
from buildlog.supporters.forms import UpdateForm
from buildlog.supporters.models import Update
from tasks.access import in_build
from tasks.models import Build
from tasks.views.answers import own_address

PHOTOS_A_PAGE = 48


def own_page(request: HttpRequest, otherwise: str) -> str:
    """Where the form says to go back to, if that is on this site."""
    return own_address(request, "back") or otherwise


@require_safe
@in_build("share")
def updates(request: HttpRequest, build: Build) -> HttpResponse:
    rows = showing.with_showing(build.updates.all()).prefetch_related("photos")
    context = {"build": build, "sheet": "Updates", "page": page_of(request, rows, per=30)}
    return render(request, "supporters/updates.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@in_build("share")
def add_update(request: HttpRequest, build: Build) -> HttpResponse:
    new = Update(build=build, day=timezone.localdate())
    form = UpdateForm(request.POST or None, instance=new)
    if form.is_valid():
        form.save()
        messages.success(request, "Saved. Nobody sees it until you show it.")
        return redirect("update", build.slug, new.pk)
    context = {"build": build, "sheet": "Updates", "form": form}
    return render(request, "supporters/update-add.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@in_build("share")
def update(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    row = get_object_or_404(showing.with_showing(build.updates.all()), pk=pk)
    form = UpdateForm(request.POST or None, instance=row)
    if form.is_valid():
        form.save()
        messages.success(request, "Saved.")
        return redirect("update", build.slug, pk)
    context = {
        "build": build,
        "sheet": "Updates",
        "form": form,
        "update": row,
        "photos": _to_look_at(row.photos.all()),
        "acts": row.showings.select_related("by")[:20],
    }
    return render(request, "supporters/update.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@in_build("share")
def delete_update(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    row = get_object_or_404(showing.with_showing(build.updates.all()), pk=pk)
    if request.method == "POST":
        row.delete()
        messages.success(request, f"“{row}” is deleted.")
        return redirect("updates", build.slug)
    context = {"build": build, "sheet": "Updates", "update": row}
    return render(request, "supporters/update-delete.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@in_build("share")
def update_photos(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    """Choose photos from the gallery, a page of it at a time; the other pages stay as they were."""
    row = get_object_or_404(build.updates, pk=pk)
    if request.method == "POST":
        _choose_photos(row, seen=request.POST.getlist("seen"), ticked=request.POST.getlist("photo"))
        messages.success(request, "The photos of this update are saved.")
        return redirect(own_page(request, reverse("update", args=[build.slug, pk])))
    page = _gallery_page(request, build)
    chosen = set(
        row.photos.filter(pk__in=[photo.pk for photo in page]).values_list("pk", flat=True)
    )
    context = {
        "build": build,
        "sheet": "Updates",
        "update": row,
        "page": page,
        "chosen": chosen,
        "count": row.photos.count(),
        "stages": build.stages.all(),
        "stage": request.GET.get("stage", ""),
    }
    return render(request, "supporters/update-photos.html", context)


@transaction.atomic
def _choose_photos(row: Update, seen: list[str], ticked: list[str]) -> None:
    """Take up those ticked, leave out those seen and not ticked; what was not seen stays.

    Which were seen comes with the form: the gallery may have grown while it lay open.
    """
    numbers = [int(pk) for pk in seen if pk.isdecimal() and len(pk) < 19]
    of_build = set(row.build.photos.filter(pk__in=numbers).values_list("pk", flat=True))
    wanted = {pk for pk in of_build if str(pk) in ticked}
    row.photos.remove(*(of_build - wanted))
    row.photos.add(*wanted)
    row.save(update_fields=["changed_at"])


def _to_look_at(photos: QuerySet[Photo]) -> QuerySet[Photo]:
    """Photos with all that a small picture of each needs, and whether it is shown."""
    found = showing.with_showing(photos).select_related("stage")
    return found.prefetch_related("renditions", "tasks")


def _gallery_page(request: HttpRequest, build: Build) -> Any:
    photos = _to_look_at(build.photos.all())
    stage = request.GET.get("stage", "")
    if stage.isdecimal() and len(stage) < 19:
        photos = photos.filter(stage=int(stage))
    return page_of(request, photos, per=PHOTOS_A_PAGE)


@require_safe
@in_build("share")
def shown_photos(request: HttpRequest, build: Build) -> HttpResponse:
    """The gallery, each photo with whether outsiders see it on the page itself."""
    context = {
        "build": build,
        "sheet": "Photos shown",
        "page": _gallery_page(request, build),
        "count": showing.photos_shown_alone(build).count(),
        "stages": build.stages.all(),
        "stage": request.GET.get("stage", ""),
    }
    return render(request, "supporters/shown-photos.html", context)


@require_POST
@in_build("share")
def show_update(request: HttpRequest, build: Build, pk: int, shown: bool) -> HttpResponse:
    row = get_object_or_404(build.updates, pk=pk)
    undo = "take-back-update" if shown else "show-update"
    back = reverse("update", args=[build.slug, pk])
    return _act(request, row, shown, f"“{row}”", reverse(undo, args=[build.slug, pk]), back)


@require_POST
@in_build("share")
def show_photo(request: HttpRequest, build: Build, pk: int, shown: bool) -> HttpResponse:
    row = get_object_or_404(build.photos, pk=pk)
    undo = "take-back-photo" if shown else "show-photo"
    back = reverse("shown-photos", args=[build.slug])
    return _act(request, row, shown, "The photo", reverse(undo, args=[build.slug, pk]), back)


def _act(
    request: HttpRequest, thing: Any, shown: bool, name: str, undo: str, back: str
) -> HttpResponse:
    act = showing.show if shown else showing.take_back
    if act(thing, request.user, timezone.now()):
        done = "is shown now" if shown else "is taken back; nobody outside sees it"
        messages.success(request, f"{name} {done}.", extra_tags=f"undo={undo}")
    return redirect(own_page(request, back))
