"""Compare the storage with what the rows say should be in it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, field

from django.core.files.storage import default_storage
from django.db import connection, transaction

from buildlog.journal.models import Photo, Rendition
from buildlog.keep import rows
from buildlog.keep.kept import Kept, kept_files, measure

# A file is written before its row: one so young may be on its way.
ON_ITS_WAY = dt.timedelta(minutes=10)
FOLDERS = ("originals", "renditions")


@dataclass
class Findings:
    checked: int = 0
    missing: list[Kept] = field(default_factory=list)
    changed: list[Kept] = field(default_factory=list)
    strays: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)

    @property
    def fine(self) -> bool:
        return not (self.missing or self.changed or self.strays or self.faults)


def verify(now: dt.datetime) -> Findings:
    """Read every file that a row speaks of; look for files that none speaks of."""
    found = Findings()
    known = set()
    for kept in kept_files():
        known.add(kept.path)
        found.checked += 1
        _verify_one(kept, found)
    # Again, for what was deleted while we read.
    still = {kept.path for kept in kept_files()}
    found.missing = [kept for kept in found.missing if kept.path in still]
    for folder in FOLDERS:
        found.strays += [path for path in _files_in(folder, now) if path not in known | still]
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            found.faults = rows.faults(cursor)
    return found


def _verify_one(kept: Kept, found: Findings) -> None:
    try:
        with default_storage.open(kept.path, "rb") as file:
            measured = measure(file)
    except FileNotFoundError:
        found.missing.append(kept)
        return
    if measured != (kept.size, kept.sha256):
        found.changed.append(kept)


def _files_in(folder: str, now: dt.datetime) -> Iterator[str]:
    try:
        folders, files = default_storage.listdir(folder)
    except FileNotFoundError:
        return
    for name in files:
        path = f"{folder}/{name}"
        if now - default_storage.get_modified_time(path) > ON_ITS_WAY:
            yield path
    for name in folders:
        yield from _files_in(f"{folder}/{name}", now)


def remake_renditions(found: Findings) -> int:
    """Have the sizes of photos that are missing or changed made again. Gives how many photos."""
    from buildlog.background.jobs import queue
    from buildlog.journal.jobs import RENDITIONS

    bad = [kept.path for kept in found.missing + found.changed]
    with transaction.atomic():
        rows_ = Rendition.objects.filter(path__in=bad)
        photos = list(Photo.objects.filter(renditions__in=rows_).distinct())
        rows_.delete()
        for photo in photos:
            queue(RENDITIONS, build=photo.build, key=f"photo-{photo.pk}", photo=photo.pk)
    return len(photos)
