"""What outsiders may see: showing is an act with who and when; the newest one decides.

The public page, the feed and the photos all ask here, and nowhere else.
"""

from __future__ import annotations

import datetime as dt
from typing import TypeVar

from django.db import models, transaction
from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery

from buildlog.journal.models import Photo
from buildlog.supporters.models import PublicPage, Showing, Update
from tasks.models import Build, Person

Shown = TypeVar("Shown", PublicPage, Update, Photo)
KINDS: dict[type[models.Model], str] = {PublicPage: "page", Update: "update", Photo: "photo"}


def with_showing(rows: QuerySet[Shown]) -> QuerySet[Shown]:
    """Each row with `is_shown` (None: never shown or taken back), `showing_at` and `first_at`."""
    acts = Showing.objects.filter(**{KINDS[rows.model]: OuterRef("pk")})
    newest = acts.order_by("-at", "-pk")
    first = acts.filter(shown=True).order_by("at", "pk")
    acted = {
        "is_shown": Subquery(newest.values("shown")[:1]),
        "showing_at": Subquery(newest.values("at")[:1]),
        "first_at": Subquery(first.values("at")[:1]),
    }
    return rows.annotate(**acted)


def shown(rows: QuerySet[Shown]) -> QuerySet[Shown]:
    """Only the rows whose newest act is a showing."""
    # Most photos have no act at all; the subquery need not run for those.
    ever = Showing.objects.filter(**{f"{KINDS[rows.model]}__isnull": False})
    return with_showing(rows.filter(pk__in=ever.values(KINDS[rows.model]))).filter(Q(is_shown=True))


def shown_page(address: str) -> PublicPage | None:
    """The page at that address if it is switched on, with its build."""
    return shown(PublicPage.objects.filter(address=address)).select_related("build").first()


def shown_updates(build: Build) -> QuerySet[Update]:
    """The updates outsiders may read, newest first."""
    return shown(build.updates.all())


def photos_outside(build: Build) -> QuerySet[Photo]:
    """The photos outsiders may see: shown themselves, or in an update while that is shown.

    A photo that was itself taken back is gone everywhere, from updates too.
    """
    photos = with_showing(build.photos.all())
    in_update = Update.photos.through.objects.filter(
        photo=OuterRef("pk"), update__in=shown_updates(build).values("pk")
    )
    allowed = Q(is_shown=True) | (Q(is_shown=None) & Exists(in_update))
    # Only photos somebody did something with come into question at all.
    acted = Showing.objects.filter(build=build, photo__isnull=False).values("photo")
    chosen = Update.photos.through.objects.filter(update__build=build).values("photo")
    return photos.filter(Q(pk__in=acted) | Q(pk__in=chosen)).filter(allowed)


def photos_shown_alone(build: Build) -> QuerySet[Photo]:
    """The photos chosen for the page itself."""
    return shown(build.photos.all())


def is_shown(thing: Shown) -> bool:
    newest = Showing.objects.filter(**{KINDS[type(thing)]: thing}).first()
    return newest is not None and newest.shown


def show(thing: Shown, person: Person, now: dt.datetime) -> bool:
    """Show it. Gives False, and records nothing, where it is shown already."""
    return _act(thing, person, now, to=True)


def take_back(thing: Shown, person: Person, now: dt.datetime) -> bool:
    """Take it back. Gives False, and records nothing, where it is not shown.

    A photo in a shown update is seen without an act of its own, so it can always be taken back.
    """
    return _act(thing, person, now, to=False)


@transaction.atomic
def _act(thing: Shown, person: Person, now: dt.datetime, *, to: bool) -> bool:
    # Two clicks at once: the second waits for the row, then finds it done.
    type(thing)._default_manager.select_for_update().get(pk=thing.pk)
    kind = KINDS[type(thing)]
    newest = Showing.objects.filter(**{kind: thing}).first()
    never_shown = False if kind != "photo" else None
    stands = never_shown if newest is None else newest.shown
    if stands == to:
        return False
    Showing.objects.create(build=thing.build, shown=to, by=person, at=now, **{kind: thing})
    return True
