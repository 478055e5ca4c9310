"""Changes to photos that touch more than one row, or their files. Each is one transaction."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F, Q

from buildlog.files.store import discard
from buildlog.journal.intake import Place, ask_for_renditions
from buildlog.journal.models import Photo
from tasks.models import Build, Crew, Person
from tasks.models.limits import check_year


class CannotDo(Exception):
    """What was asked cannot be done; the text says why, for people."""


def may_change(crew: Crew, photo: Photo) -> bool:
    """Planners change any photo, others who log their own."""
    own = photo.person_id is not None and photo.person_id == crew.person_id
    return crew.may("plan") or (crew.may("log") and own)


def changeable(crew: Crew) -> Q:
    return Q() if crew.may("plan") else Q(person=crew.person_id)


@transaction.atomic
def turn(photo: Photo, quarters: int, person: Person) -> None:
    """Turn a photo by quarter turns clockwise: its renditions are made anew."""
    Photo.objects.filter(pk=photo.pk).update(turned=(F("turned") + quarters) % 4)
    if quarters % 2:
        Photo.objects.filter(pk=photo.pk).update(width=F("height"), height=F("width"))
    photo.renditions.all().delete()
    ask_for_renditions(photo, person)


def shift_times(
    build: Build, pks: Sequence[int], by: dt.timedelta, first_at: dt.datetime | None = None
) -> int:
    """Move the times of photos by the same amount; gives how many were moved.

    With `first_at`, refuses where the earliest of them is not at that time any more: then
    somebody, or a second click, has moved them already.
    """
    with transaction.atomic():
        photos = Photo.objects.select_for_update().filter(build=build, pk__in=pks)
        times = photos.order_by("taken_at", "pk").values_list("taken_at", flat=True)
        earliest, latest = times.first(), times.last()
        if earliest is None or latest is None:
            raise CannotDo("None of these photos is there any more.")
        if first_at and abs(earliest - first_at) >= dt.timedelta(seconds=1):
            raise CannotDo("Their times were changed meanwhile, so nothing was moved. Look again.")
        try:
            check_year(earliest + by)
            check_year(latest + by)
        except (ValidationError, OverflowError):
            raise CannotDo("That would put them in another century. Look at the year.") from None
        count = photos.update(taken_at=F("taken_at") + by)
        set_by = Photo.objects.filter(build=build, pk__in=pks)
        set_by.update(taken_from=Photo.TakenFrom.BUILDER)
        set_by.filter(taken_at=F("camera_at")).update(taken_from=Photo.TakenFrom.CAMERA)
    return count


def place_all(photos: Sequence[Photo], place: Place) -> None:
    """Hang photos on tasks as well, and put them in a stage."""
    with transaction.atomic():
        for task in place.tasks:
            task.photos.add(*photos)
        if place.stage:
            Photo.objects.filter(pk__in=[photo.pk for photo in photos]).update(stage=place.stage)


def seen_outside(photo: Photo) -> bool:
    """May outsiders see it now: shown, or in an update and not taken back?"""
    newest = photo.showings.first()
    return newest.shown if newest else photo.updates.exists()


def remove(photo: Photo, crew: Crew, now: dt.datetime) -> None:
    """Delete a photo, its renditions and, if nothing else needs it, its original.

    One that outsiders may see is taken back first, which needs the right to share.
    """
    with transaction.atomic():
        photo = Photo.objects.select_for_update().select_related("file").get(pk=photo.pk)
        if seen_outside(photo):
            if not crew.may("share"):
                raise CannotDo(
                    "It is shown to supporters. Ask the owner to take it back; then delete it."
                )
            photo.showings.create(build=photo.build, shown=False, by=crew.person, at=now)
        file = photo.file
        photo.delete()
        discard(file)
