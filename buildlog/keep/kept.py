"""Which files the rows speak of: each with its place, its size and its SHA-256."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import IO

from buildlog.files.models import StoredFile, content_path
from buildlog.journal.models import Rendition

CHUNK = 1024 * 1024


@dataclass(frozen=True, order=True)
class Kept:
    """A file that should be in the storage. `label` is what people know it by."""

    path: str
    size: int
    sha256: str
    label: str


def kept_files(database: str = "default") -> Iterator[Kept]:
    """Every file that the rows of a database speak of, each place once."""
    seen = set()
    originals = StoredFile.objects.using(database).order_by("sha256", "pk")
    for stored in originals.select_related("build").iterator(2000):
        if stored.sha256 not in seen:
            seen.add(stored.sha256)
            label = f"“{stored.name}” of {stored.build.name}"
            yield Kept(content_path(stored.sha256), stored.size, stored.sha256, label)
    rows = Rendition.objects.using(database).order_by("photo_id", "long_side")
    for row in rows.select_related("photo__file").iterator(2000):
        label = f"“{row.photo.file.name}” at {row.long_side} pixels"
        yield Kept(row.path, row.size, row.sha256, label)


def chunks(file: IO[bytes]) -> Iterable[bytes]:
    while chunk := file.read(CHUNK):
        yield chunk


def measure(file: IO[bytes]) -> tuple[int, str]:
    """The size and the SHA-256 of what is left to read."""
    digest, size = hashlib.sha256(), 0
    for chunk in chunks(file):
        digest.update(chunk)
        size += len(chunk)
    return size, digest.hexdigest()
