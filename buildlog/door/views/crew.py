"""The crew of a build: who may do what, and the links by which more may come."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from buildlog.door import crew as changes
from buildlog.door.forms import InviteForm, PlaceForm
from tasks.access import in_build
from tasks.models import Build, Crew


def _page(request: HttpRequest, build: Build, status: int = 200, **more: Any) -> HttpResponse:
    places = build.crew.select_related("person")
    context = {
        "build": build,
        "sheet": "Crew",
        "places": [(place, PlaceForm(instance=place, prefix=f"p{place.pk}")) for place in places],
        "invitations": build.invitations.open(timezone.now()),
        "form": InviteForm(),
    }
    return render(request, "door/crew.html", context | more, status=status)


@require_safe
@in_build("look")
def crew(request: HttpRequest, build: Build) -> HttpResponse:
    """All of the crew see who is on board; only the owner sees and changes more than that."""
    if request.crew.may("own"):
        return _page(request, build)
    context = {"build": build, "sheet": "Crew", "places": build.crew.select_related("person")}
    return render(request, "door/crew-seen.html", context)


@never_cache
@require_POST
@in_build("own")
def invite(request: HttpRequest, build: Build) -> HttpResponse:
    form = InviteForm(request.POST)
    if not form.is_valid():
        return _page(request, build, status=422, form=form)
    invitation, token = changes.invite(
        build,
        request.user,
        role=form.cleaned_data["role"],
        sees_money=form.cleaned_data["sees_money"],
        note=form.cleaned_data["note"],
        until=form.until(timezone.now()),
    )
    # Shown in this answer and nowhere else: only the hash is kept.
    link = request.build_absolute_uri(reverse("join", args=[token]))
    return _page(request, build, new=invitation, link=link)


@require_POST
@in_build("own")
def withdraw(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    gone, _ = build.invitations.filter(pk=pk, used_at=None).delete()
    if gone:
        messages.success(request, "The invitation is withdrawn; its link no longer works.")
    else:
        messages.warning(request, "That invitation was used or withdrawn before.")
    return redirect("crew", build.slug)


@require_POST
@in_build("own")
def change_place(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    place = get_object_or_404(build.crew.select_related("person", "build"), pk=pk)
    form = PlaceForm(request.POST, instance=place, prefix=f"p{place.pk}")
    if not form.is_valid():
        messages.error(request, f"{place.person}: choose what they may do from the list.")
        return redirect("crew", build.slug)
    try:
        said = form.cleaned_data
        changes.give_role(place, said["role"], said["sees_money"], timezone.now())
    except changes.LastOwner as problem:
        messages.error(request, str(problem))
    else:
        messages.success(request, f"{place.person} is now {place.get_role_display()}.")
    return redirect("crew", build.slug)


@require_POST
@in_build("own")
def remove(request: HttpRequest, build: Build, pk: int) -> HttpResponse:
    place = get_object_or_404(build.crew.select_related("person", "build"), pk=pk)
    return _take(request, place, f"{place.person} is no longer one of the crew.", "crew")


@require_POST
@in_build("look")
def leave(request: HttpRequest, build: Build) -> HttpResponse:
    return _take(request, request.crew, f"You have left the crew of {build}.", "me")


def _take(request: HttpRequest, place: Crew, done: str, page: str) -> HttpResponse:
    mine = place.person_id == request.user.pk
    try:
        changes.take_from_crew(place, timezone.now())
    except changes.LastOwner as problem:
        messages.error(request, str(problem))
    else:
        messages.success(request, done)
        page = "me" if mine else page
    return redirect("me") if page == "me" else redirect(page, place.build.slug)
