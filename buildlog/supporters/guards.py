"""Who sees the page: outsiders while it is switched on; the owner beforehand, as a preview."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.http import quote_etag
from django.views.decorators.http import require_safe

from buildlog.supporters.models import PublicPage
from buildlog.supporters.showing import shown_page, with_showing
from tasks.access import in_build
from tasks.models import Build


@dataclass(frozen=True)
class Outlook:
    """A page as somebody sees it, and how addresses within it are made."""

    page: PublicPage
    space: str  # "outside" or "preview"
    first: str  # what an address begins with: the page's own, or the build's
    make_absolute: Callable[[str], str]

    @property
    def build(self) -> Build:
        return self.page.build

    @property
    def preview(self) -> bool:
        return self.space == "preview"

    def link(self, name: str, *args: object) -> str:
        return reverse(f"{self.space}:{name}", args=[self.first, *args])

    def whole_link(self, name: str, *args: object) -> str:
        return self.make_absolute(self.link(name, *args))


View = Callable[..., HttpResponse]


def for_outsiders(view: View) -> View:
    """`(request, address, …)` becomes `(request, outlook, …)`.

    A page switched off and an address nobody has get the same 404.
    """

    @wraps(view)
    def guarded(request: HttpRequest, address: str, *args: Any, **kwargs: Any) -> HttpResponse:
        page = shown_page(address)
        if page is None:
            raise Http404
        outlook = Outlook(page, "outside", address, request.build_absolute_uri)
        with timezone.override(page.build.zone):
            return sealed(request, view(request, outlook, *args, **kwargs), page)

    return login_not_required(require_safe(guarded))


def for_preview(view: View) -> View:
    """The same view for the owner, whether the page is switched on or not."""

    def guarded(request: HttpRequest, build: Build, *args: Any, **kwargs: Any) -> HttpResponse:
        page = with_showing(PublicPage.objects.filter(build=build)).first()
        if page is None:
            raise Http404
        page.build = build
        page.showing_at = page.showing_at or timezone.now().replace(microsecond=0)
        outlook = Outlook(page, "preview", build.slug, request.build_absolute_uri)
        response = view(request, outlook, *args, **kwargs)
        response["Cache-Control"] = "private, no-store"
        return response

    return require_safe(in_build("share")(wraps(view)(guarded)))


def sealed(request: HttpRequest, response: HttpResponse, page: PublicPage) -> HttpResponse:
    """Give a public answer its headers.

    Taking back must take effect at once, so every copy of it kept anywhere is asked for again;
    the fingerprint makes that cheap. A date would not do: it does not move when a row is deleted.
    """
    response["Cache-Control"] = "no-cache, must-revalidate"
    response["Referrer-Policy"] = "no-referrer"
    if page.unguessable:
        response["X-Robots-Tag"] = "noindex, nofollow"
    if "ETag" not in response:
        response["ETag"] = quote_etag(hashlib.sha256(response.content).hexdigest()[:32])
    asked = request.META.get("HTTP_IF_NONE_MATCH")
    if response.status_code != 200 or not asked:
        return response
    return get_conditional_response(request, response["ETag"], response=response) or response
