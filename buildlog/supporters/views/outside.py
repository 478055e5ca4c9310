"""The page that outsiders see. Each view is served twice: outside, and to the owner as preview."""

from __future__ import annotations

from collections.abc import Iterable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.cache import get_conditional_response
from django.utils.http import http_date, quote_etag

from buildlog.journal.models import Rendition
from buildlog.journal.serving import send
from buildlog.paging import page_of
from buildlog.supporters import outside
from buildlog.supporters.feed import NEWEST, write_feed
from buildlog.supporters.guards import Outlook
from buildlog.supporters.hull import draw_hull
from buildlog.supporters.models import Update
from buildlog.supporters.showing import photos_outside

IN_FULL = 3
ON_THE_PAGE = 9


def _render(request: HttpRequest, outlook: Outlook, name: str, **more: object) -> HttpResponse:
    context = {
        "page": outlook.page,
        "boat": outlook.build,
        "outlook": outlook,
        "home": outlook.link("page"),
        "feed": outlook.link("feed"),
        "all_updates": outlook.link("updates"),
        "all_photos": outlook.link("photos"),
    }
    return render(request, f"supporters/outside/{name}.html", context | more)


def page(request: HttpRequest, outlook: Outlook) -> HttpResponse:
    shown = outlook.page
    updates = list(outside.updates_outside(shown)[: IN_FULL + 1])
    photos = list(outside.photos_alone(shown)[: ON_THE_PAGE + 1])
    progress = outside.progress_outside(shown)
    return _render(
        request,
        outlook,
        "page",
        progress=progress,
        hull=draw_hull(progress.whole.percent) if progress and progress.stages else None,
        hours=outside.hours_worked(shown) if shown.shows_hours else None,
        updates=_linked(outlook, updates[:IN_FULL]),
        more_updates=len(updates) > IN_FULL,
        pictures=[outside.picture_of(photo, outlook.link) for photo in photos[:ON_THE_PAGE]],
        more_photos=len(photos) > ON_THE_PAGE,
        names=outside.names_outside(shown),
    )


def updates(request: HttpRequest, outlook: Outlook) -> HttpResponse:
    rows = page_of(request, outside.updates_outside(outlook.page), per=20)
    linked = _linked(outlook, rows.object_list)
    return _render(request, outlook, "updates", rows=rows, updates=linked)


def _linked(outlook: Outlook, updates: Iterable[Update]) -> list[tuple[Update, str]]:
    """Updates with their photos, each with the address of its own sheet."""
    found = outside.with_pictures(updates, outlook.link)
    return [(update, outlook.link("update", update.pk)) for update in found]


def update(request: HttpRequest, outlook: Outlook, pk: int) -> HttpResponse:
    row = get_object_or_404(outside.updates_outside(outlook.page), pk=pk)
    (found,) = outside.with_pictures([row], outlook.link)
    return _render(request, outlook, "update", update=found)


def photos(request: HttpRequest, outlook: Outlook) -> HttpResponse:
    rows = page_of(request, outside.photos_alone(outlook.page), per=30)
    pictures = [outside.picture_of(photo, outlook.link) for photo in rows.object_list]
    return _render(request, outlook, "photos", rows=rows, pictures=pictures)


def photo(request: HttpRequest, outlook: Outlook, pk: int) -> HttpResponse:
    row = get_object_or_404(outside.ready(photos_outside(outlook.build)), pk=pk)
    return _render(request, outlook, "photo", picture=outside.picture_of(row, outlook.link))


def photo_file(request: HttpRequest, outlook: Outlook, pk: int, long_side: int) -> HttpResponse:
    """A copy of a shown photo: pixels only, never the original."""
    allowed = photos_outside(outlook.build).filter(pk=pk).values("pk")
    copy = get_object_or_404(Rendition, photo__in=allowed, long_side=long_side)
    etag = quote_etag(copy.sha256)
    # Asked first: a file opened for an answer that is not sent would stay open.
    response = get_conditional_response(request, etag=etag) or send(copy)
    response["ETag"] = etag
    return response


def feed(request: HttpRequest, outlook: Outlook) -> HttpResponse:
    rows = outside.updates_outside(outlook.page)[:NEWEST]
    written = write_feed(
        outlook.page, outside.with_pictures(rows, outlook.whole_link), outlook.whole_link
    )
    response = HttpResponse(written.writeString("utf-8"), content_type=written.content_type)
    newest_act = outlook.build.showings.first()
    dates = [written.latest_post_date(), *([newest_act.at] if newest_act else [])]
    response["Last-Modified"] = http_date(max(dates).timestamp())
    return response
