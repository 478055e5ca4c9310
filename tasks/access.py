"""The one permission check: a view or endpoint gets its build from here, or answers 404 or 403."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django_htmx.middleware import HtmxDetails

from tasks.models import Crew, Person


class SignedIn(HttpRequest):
    """What a view gets past the middleware that asks everybody to sign in."""

    user: Person
    htmx: HtmxDetails


class CrewRequest(SignedIn):
    """What a view behind `in_build` gets: signed in, and crew of the build."""

    crew: Crew


def crew_or_404(person: Person, slug: str) -> Crew:
    """The person's place in the build of that address. To strangers the build does not exist."""
    try:
        return Crew.objects.select_related("build", "person").get(build__slug=slug, person=person)
    except Crew.DoesNotExist:
        raise Http404("There is no such build.") from None


def in_build(right: str) -> Callable[..., Callable[..., HttpResponse]]:
    """Make a view of `(request, slug, ...)` get `(request, build, ...)`, where the person may.

    `right` is one of look, log, plan, money, see-money, share, own (see `Crew.rights`). The
    person's place is put on `request.crew`. Crew without the right get 403, strangers 404.
    """

    def decorate(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
        @wraps(view)
        def guarded(request: CrewRequest, slug: str, *args: Any, **kwargs: Any) -> HttpResponse:
            crew = crew_or_404(request.user, slug)
            if not crew.may(right):
                raise PermissionDenied(f"As {crew.get_role_display()}, you may not do this here.")
            request.crew = crew
            with timezone.override(crew.build.zone):  # pages show the build's own clock
                return view(request, crew.build, *args, **kwargs)

        return guarded

    return decorate
