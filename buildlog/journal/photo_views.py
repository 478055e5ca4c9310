"""The photos of a build, and one of them."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from buildlog.background.jobs import Job, retry
from buildlog.files.serve import send_original
from buildlog.journal import photo_acts
from buildlog.journal.intake import ask_for_renditions
from buildlog.journal.jobs import RENDITIONS
from buildlog.journal.models import Photo, Rendition
from buildlog.journal.photo_forms import GalleryFilter, PhotoForm
from buildlog.journal.querysets import likely_tasks
from buildlog.journal.serving import send
from buildlog.paging import page_of
from tasks.access import in_build
from tasks.models import Build

PHOTOS_A_PAGE = 60


@require_GET
@in_build("look")
def photos(request: HttpRequest, build: Build) -> HttpResponse:
    form = GalleryFilter(request.GET, build=build)
    page = page_of(request, form.photos().to_show(), per=PHOTOS_A_PAGE)
    found = list(page.object_list)
    return render(request, "journal/photos.html", {
        "build": build, "sheet": "Photos", "form": form, "page": page, "photos": found,
        "filter": _filter_of(request), "tasks": likely_tasks(build),
        "waiting": waiting_of(build, [photo for photo in found if not photo.is_ready]),
    })  # fmt: skip


@require_GET
@in_build("look")
def waiting(request: HttpRequest, build: Build) -> HttpResponse:
    """How far the pictures are that a page waits for; those made since come with it."""
    asked_for = request.GET.getlist("photo")[:PHOTOS_A_PAGE]
    numbers = [int(n) for n in asked_for if n.isdecimal() and len(n) < 19]
    asked = list(build.photos.filter(pk__in=numbers).to_show())
    one_page = bool(request.GET.get("reload"))
    left = [photo for photo in asked if not photo.is_ready]
    response = render(request, "journal/_waiting.html", {
        "build": build, "waiting": waiting_of(build, left), "reload": one_page,
        "made": [] if one_page else [photo for photo in asked if photo.is_ready],
        "choosing": request.crew.may("log"),
    })  # fmt: skip
    if one_page and not left:
        response["HX-Refresh"] = "true"
    return response


def waiting_of(build: Build, left: list[Photo]) -> dict[str, object]:
    """What to say of photos whose renditions are not there: in work, or failed and why."""
    keys = [f"photo-{photo.pk}" for photo in left]
    jobs = Job.objects.filter(build=build, kind=RENDITIONS, key__in=keys).order_by("pk")
    newest = {job.key: job for job in jobs}
    failed, busy = [], []
    for photo in left:
        job = newest.get(f"photo-{photo.pk}")
        if job and not job.is_open and job.state != Job.State.DONE:
            failed.append((photo, job))
        else:
            busy.append(photo)
    slow = any(job.waits_long for job in newest.values())
    return {"photos": busy, "failed": failed, "slow": slow}


@require_http_methods(["GET", "POST"])
@in_build("look")
def photo(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    found = photo_or_404(build, pk)
    may_change = photo_acts.may_change(request.crew, found)
    form = PhotoForm(sent(request), instance=found, build=build) if may_change else None
    if request.method == "POST":
        if form is None:
            raise PermissionDenied("It is another's photo: its planner or owner may change it.")
        if form.is_valid():
            form.save()
            messages.success(request, "Saved.")
            return redirect(request.get_full_path())
        found = photo_or_404(build, pk)
    chosen = GalleryFilter(request.GET, build=build).photos()
    return render(request, "journal/photo.html", {
        "build": build, "sheet": "Photo", "photo": found, "form": form,
        "filter": _filter_of(request), "tasks": likely_tasks(build) if form else [],
        "earlier": chosen.before(found).first(), "later": chosen.after(found).first(),
        "waiting": waiting_of(build, [] if found.is_ready else [found]),
        "outside": photo_acts.seen_outside(found),
    }, status=422 if form and form.errors else 200)  # fmt: skip


@require_POST
@in_build("log")
def turn(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    found = changeable_or_403(request, build, pk)
    photo_acts.turn(found, 3 if request.POST.get("way") == "left" else 1, request.user)
    return redirect(found)


@require_POST
@in_build("log")
def make_again(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    """Try once more to make a photo's renditions."""
    found = photo_or_404(build, pk)
    job = Job.objects.filter(build=build, kind=RENDITIONS, key=f"photo-{pk}").last()
    if job and job.state == Job.State.FAILED:
        retry(job)
    else:
        ask_for_renditions(found, request.user)
    messages.success(request, "It is being tried again.")
    return redirect(found)


@require_http_methods(["GET", "POST"])
@in_build("log")
def delete(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    found = changeable_or_403(request, build, pk)
    if request.method == "POST":
        try:
            photo_acts.remove(found, request.crew, timezone.now())
        except photo_acts.CannotDo as reason:
            messages.error(request, str(reason))
            return redirect(found)
        messages.success(request, "The photo is deleted.")
        return redirect("photos", build.slug)
    return render(request, "journal/photo_delete.html", {
        "build": build, "sheet": "Photo", "photo": found,
        "outside": photo_acts.seen_outside(found),
    })  # fmt: skip


@require_GET
@in_build("log")
def original(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    """The file as it came, places and all: for the crew that works on her, not for onlookers."""
    try:
        return send_original(photo_or_404(build, pk).file)
    except FileNotFoundError:
        raise Http404("The original is not in its place. Run “verify” to see what is.") from None


@require_GET
@in_build("look")
def rendition(
    request: HttpRequest, build: Build, pk: int, long_side: int, sha256: str
) -> HttpResponse:
    made = get_object_or_404(
        Rendition, photo__build=build, photo=pk, long_side=long_side, sha256=sha256
    )
    return send(made)


def sent(request: HttpRequest) -> QueryDict | None:
    """What a form is bound to: an empty form that was sent is sent all the same."""
    return request.POST if request.method == "POST" else None


def photo_or_404(build: Build, pk: int) -> Photo:
    rows = Photo.objects.select_related("file", "stage", "entry", "person")
    rows = rows.prefetch_related("renditions", "tasks")
    found = get_object_or_404(rows, build=build, pk=pk)
    found.build = build
    return found


def changeable_or_403(request: HttpRequest, build: Build, pk: int) -> Photo:
    found = photo_or_404(build, pk)
    if not photo_acts.may_change(request.crew, found):
        raise PermissionDenied("It is another's photo: only a planner or the owner may change it.")
    return found


def _filter_of(request: HttpRequest) -> str:
    """The gallery's filter as it goes along in links from photo to photo."""
    query = request.GET.copy()
    for name in list(query):
        if name not in ("stage", "task", "month") or not query[name]:
            del query[name]
    return f"?{query.urlencode()}" if query else ""
