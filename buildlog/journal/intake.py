"""Take photos in: checked, dated, kept once, and queued for their renditions."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from django.core.files import File
from django.db import transaction
from django.db.models import TextChoices
from django.utils import timezone

from buildlog.background.jobs import queue
from buildlog.files import Refused
from buildlog.files.receive import Incoming, receive, tidy_name
from buildlog.files.store import bytes_back_on_error, keep_incoming
from buildlog.journal.jobs import RENDITIONS
from buildlog.journal.models import Entry, Photo
from buildlog.journal.picture import PICTURE_TYPES, Facts, look_at
from tasks.models import Build, Person, Stage, Task


class Outcome(TextChoices):
    NEW = "new", "taken in"
    KNOWN = "known", "the same photo is here already"
    REFUSED = "refused", "refused"


@dataclass(frozen=True)
class Taken:
    """What became of one file, by the name it came with."""

    name: str
    outcome: Outcome
    reason: str = ""
    photo: Photo | None = None


@dataclass(frozen=True)
class Place:
    """Where the photos that come in belong."""

    stage: Stage | None = None
    tasks: tuple[Task, ...] = ()
    entry: Entry | None = None


def take_in(
    build: Build, person: Person | None, uploaded: File, place: Place | None = None
) -> Taken:
    """Take one photo in, or say why not. A refused file leaves nothing behind.

    A photo that is here already is not doubled; it is hung on the place's tasks too, and its
    entry and stage are filled where it had none.
    """
    try:
        with receive(uploaded, PICTURE_TYPES) as incoming:
            facts = look_at(incoming.path, incoming.mime)
            photo, is_new = keep_photo(build, person, incoming, facts)
    except Refused as refused:
        return Taken(tidy_name(uploaded.name or ""), Outcome.REFUSED, refused.reason)
    if place:
        put_in_place(photo, place)
    return Taken(incoming.name, Outcome.NEW if is_new else Outcome.KNOWN, photo=photo)


def keep_photo(
    build: Build, person: Person | None, incoming: Incoming, facts: Facts
) -> tuple[Photo, bool]:
    """The row of a checked picture, with its original kept and its renditions asked for."""
    taken_at, taken_from = time_by(facts.taken, build.zone)
    with bytes_back_on_error(incoming.sha256), transaction.atomic():
        stored, _ = keep_incoming(build, incoming)
        photo, is_new = Photo.objects.get_or_create(
            file=stored,
            defaults={
                "build": build,
                "person": person,
                "width": facts.width,
                "height": facts.height,
                "taken_at": taken_at,
                "taken_from": taken_from,
                "camera_at": taken_at if taken_from == Photo.TakenFrom.CAMERA else None,
            },
        )
        if is_new or photo.renditions.count() == 0:
            ask_for_renditions(photo, person)
    return photo, is_new


def time_by(camera: dt.datetime | None, zone: ZoneInfo) -> tuple[dt.datetime, str]:
    """When a photo was taken, and by whose clock. A camera that knew no offset kept the build's."""
    if camera is None:
        return timezone.now(), Photo.TakenFrom.UPLOAD
    if camera.tzinfo is None:
        camera = camera.replace(tzinfo=zone)
    return camera.astimezone(dt.UTC), Photo.TakenFrom.CAMERA


def put_in_place(photo: Photo, place: Place) -> None:
    """Hang a photo on tasks; give it a stage and an entry where it has none."""
    if place.tasks:
        photo.tasks.add(*place.tasks)
    filled = [
        field
        for field in ("stage", "entry")
        if getattr(place, field) and getattr(photo, f"{field}_id") is None
    ]
    for field in filled:
        setattr(photo, field, getattr(place, field))
    if filled:
        photo.save(update_fields=filled)


def ask_for_renditions(photo: Photo, person: Person | None = None) -> None:
    queue(RENDITIONS, build=photo.build, key=f"photo-{photo.pk}", person=person, photo=photo.pk)


def take_all_in(
    build: Build, person: Person, files: Iterable[File], place: Place | None = None
) -> list[Taken]:
    return [take_in(build, person, uploaded, place) for uploaded in files]
