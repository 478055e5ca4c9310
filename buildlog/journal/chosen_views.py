"""Several photos at once: correct the camera's clock, hang them on tasks."""

from __future__ import annotations

import datetime as dt

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.dateparse import parse_datetime
from django.views.decorators.http import require_GET, require_POST

from buildlog.journal import photo_acts
from buildlog.journal.photo_forms import GalleryFilter, PlaceForm, ShiftForm
from buildlog.journal.querysets import PhotoQuerySet, likely_tasks
from tasks.access import in_build
from tasks.models import Build, Crew

MOST = 2000
SHOWN = 24


@require_GET
@in_build("log")
def chosen(request: HttpRequest, build: Build) -> HttpResponse:
    if request.GET.get("all"):
        asked = GalleryFilter(request.GET, build=build).photos()
    else:
        asked = build.photos.filter(pk__in=numbers_in(request.GET.getlist("photo")))
    return page(request, build, asked)


def page(
    request: HttpRequest,
    build: Build,
    asked: PhotoQuerySet,
    shift: ShiftForm | None = None,
    place: PlaceForm | None = None,
    status: int = 200,
) -> HttpResponse:
    own = asked.filter(photo_acts.changeable(request.crew)).order_by("taken_at", "pk")
    numbers = list(own.values_list("pk", flat=True)[:MOST])
    if not numbers:
        messages.error(request, "Choose at least one photo that is yours to change.")
        return redirect("photos", build.slug)
    shown = list(own.to_show()[:SHOWN])
    joined = ",".join(map(str, numbers))
    first_at = shown[0].taken_at
    first = {"photos": joined, "first_at": first_at.isoformat(), "really_at": first_at}
    return render(request, "journal/photos_chosen.html", {
        "build": build, "sheet": "Photos", "photos": shown, "count": len(numbers),
        "others": asked.count() - len(numbers), "numbers": joined,
        "shift": shift or ShiftForm(initial=first), "place": place or PlaceForm(build=build),
        "tasks": likely_tasks(build),
    }, status=status)  # fmt: skip


@require_POST
@in_build("log")
def shift(request: HttpRequest, build: Build) -> HttpResponse:
    form = ShiftForm(request.POST)
    asked = chosen_in(request, build)
    if not form.is_valid():
        return page(request, build, asked, shift=form, status=422)
    numbers = changeable_numbers(request.crew, asked)
    try:
        count = photo_acts.shift_times(build, numbers, form.by, form.cleaned_data["first_at"])
    except photo_acts.CannotDo as reason:
        messages.error(request, str(reason))
        return redirect("photos", build.slug)
    back = QueryDict(mutable=True)
    back["photos"] = ",".join(map(str, numbers))
    back["seconds"] = str(-round(form.by.total_seconds()))
    back["first_at"] = form.cleaned_data["really_at"].isoformat()
    url = f"{reverse('photos-shift-back', args=[build.slug])}?{back.urlencode()}"
    how_many = "1 photo was" if count == 1 else f"{count} photos were"
    messages.success(request, f"{how_many} moved by {said(form.by)}.", extra_tags=f"undo={url}")
    return redirect("photos", build.slug)


@require_POST
@in_build("log")
def shift_back(request: HttpRequest, build: Build) -> HttpResponse:
    """Undo a shift, as long as nothing else moved them meanwhile."""
    numbers = numbers_in(request.GET.get("photos", "").split(","))
    asked = build.photos.filter(pk__in=numbers)
    try:
        by = dt.timedelta(seconds=int(request.GET["seconds"]))
        first_at = parse_datetime(request.GET["first_at"])
        if first_at is None or first_at.tzinfo is None:
            raise ValueError(first_at)
    except (KeyError, ValueError, OverflowError):
        messages.error(request, "There is nothing to undo here.")
        return redirect("photos", build.slug)
    try:
        photo_acts.shift_times(build, changeable_numbers(request.crew, asked), by, first_at)
    except photo_acts.CannotDo as reason:
        messages.error(request, str(reason))
    else:
        messages.success(request, "The times are as they were.")
    return redirect("photos", build.slug)


@require_POST
@in_build("log")
def place(request: HttpRequest, build: Build) -> HttpResponse:
    form = PlaceForm(request.POST, build=build)
    asked = chosen_in(request, build)
    if not form.is_valid():
        return page(request, build, asked, place=form, status=422)
    photos = list(asked.filter(photo_acts.changeable(request.crew)))
    photo_acts.place_all(photos, form.place())
    how_many = "1 photo was" if len(photos) == 1 else f"{len(photos)} photos were"
    messages.success(request, f"{how_many} put there.")
    return redirect("photos", build.slug)


def numbers_in(texts: list[str]) -> list[int]:
    return [int(text) for text in texts[:MOST] if text.isdecimal() and len(text) < 19]


def chosen_in(request: HttpRequest, build: Build) -> PhotoQuerySet:
    return build.photos.filter(pk__in=numbers_in(request.POST.get("photos", "").split(",")))


def changeable_numbers(crew: Crew, asked: PhotoQuerySet) -> list[int]:
    return list(asked.filter(photo_acts.changeable(crew)).values_list("pk", flat=True))


def said(by: dt.timedelta) -> str:
    """A shift in words: “1 day 2 h 05 min later”."""
    seconds = abs(round(by.total_seconds()))
    days, rest = divmod(seconds, 86400)
    hours, rest = divmod(rest, 3600)
    minutes, seconds = divmod(rest, 60)
    parts = [
        f"{days} day{'s' if days > 1 else ''}" if days else "",
        f"{hours} h" if hours else "",
        f"{minutes} min" if minutes else "",
        f"{seconds} s" if seconds else "",
    ]
    way = "earlier" if by < dt.timedelta() else "later"
    return " ".join([part for part in parts if part] + [way])
