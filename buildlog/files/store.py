"""Keep originals by their content: one copy of the same bytes, whoever sent them, how often ever.

The storage is Django's default one, so a folder or an S3 bucket by setting. Bytes are written
before the row that speaks of them, and removed only after the last such row is gone, so that a
row never points at nothing.
"""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Iterator, Sequence
from functools import partial
from pathlib import Path

from django.core.files import File
from django.core.files.storage import default_storage
from django.db import connection, transaction
from django.db.models import ForeignObjectRel

from buildlog.files.errors import Refused
from buildlog.files.models import StoredFile, content_path
from buildlog.files.receive import Incoming, incoming_folder, local_path, receive
from tasks.models import Build

__all__ = [
    "Refused",
    "delete_bytes",
    "discard",
    "keep",
    "keep_incoming",
    "open_original",
    "receive",
    "remove_bytes",
    "write_bytes",
]


def keep(
    build: Build, uploaded: File, allowed: Sequence[str] = (), max_bytes: int | None = None
) -> StoredFile:
    """Keep an upload as an original of the build. The same content twice is one row.

    `allowed` are media types (see `sniff`), judged by content; none given lets any in. Raises
    `Refused`, leaving no trace, for an empty or too large file or one of another type.
    """
    with receive(uploaded, allowed, max_bytes) as incoming:
        return keep_incoming(build, incoming)[0]


def keep_incoming(build: Build, incoming: Incoming) -> tuple[StoredFile, bool]:
    """Keep what was received; say too whether it is new to the build. Safe in a race."""
    with bytes_back_on_error(incoming.sha256), transaction.atomic():
        hold_content(incoming.sha256)
        _put(content_path(incoming.sha256), incoming)
        return StoredFile.objects.get_or_create(
            build=build,
            sha256=incoming.sha256,
            defaults={"size": incoming.size, "mime": incoming.mime, "name": incoming.name},
        )


@contextlib.contextmanager
def bytes_back_on_error(sha256: str) -> Iterator[None]:
    """Around a transaction that keeps a file: where it fails, its bytes do not stay either."""
    try:
        yield
    except BaseException:
        if not connection.in_atomic_block:
            remove_bytes(sha256)
        raise


def open_original(stored: StoredFile) -> File:
    """The original for reading, as it came. Raises FileNotFoundError where it has been lost."""
    return default_storage.open(stored.path, "rb")


def discard(stored: StoredFile) -> bool:
    """Remove an original that nothing refers to any more; one still referred to survives."""
    with transaction.atomic():
        stored = StoredFile.objects.select_for_update().get(pk=stored.pk)
        if any(_refers(relation, stored) for relation in _relations()):
            return False
        stored.delete()  # its bytes follow on commit: see `bytes_follow_row`
    return True


def _relations() -> list[ForeignObjectRel]:
    """Every field of any room that may refer to an original, those without a way back too."""
    fields = StoredFile._meta.get_fields(include_hidden=True)
    return [field for field in fields if isinstance(field, ForeignObjectRel)]


def _refers(relation: ForeignObjectRel, stored: StoredFile) -> bool:
    rows = relation.related_model._base_manager
    return rows.filter(**{relation.field.name: stored}).exists()


def bytes_follow_row(sender: type[StoredFile], instance: StoredFile, **kwargs: object) -> None:
    """However a row goes, its bytes go too once that is certain, if no other row needs them."""
    transaction.on_commit(partial(remove_bytes, instance.sha256))


def remove_bytes(sha256: str) -> None:
    """Remove content from the storage unless a row of some build still speaks of it."""
    with transaction.atomic():
        hold_content(sha256)
        if not StoredFile.objects.filter(sha256=sha256).exists():
            delete_bytes(content_path(sha256))


def hold_content(sha256: str) -> None:
    """Until the transaction ends, nobody else keeps or removes this content.

    SQLite needs nothing: its transactions begin IMMEDIATE, so there is one writer at a time.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [int(sha256[:15], 16)])


def _put(path: str, incoming: Incoming) -> None:
    if default_storage.exists(path) and default_storage.size(path) == incoming.size:
        return
    _place(incoming.path, path)


def write_bytes(path: str, data: bytes) -> None:
    """Write a whole file to the storage; a reader sees all of it or nothing."""
    with tempfile.NamedTemporaryFile(dir=incoming_folder(), prefix="in-", delete=False) as temp:
        temp.write(data)
    try:
        _place(Path(temp.name), path)
    finally:
        Path(temp.name).unlink(missing_ok=True)


def delete_bytes(path: str) -> None:
    """Remove a file from the storage; one that is not there is no error."""
    if default_storage.exists(path):
        default_storage.delete(path)


def _place(source: Path, path: str) -> None:
    """Bring a finished temporary file to its place: by rename in a folder, else by upload."""
    target = local_path(path)
    if target is None:
        delete_bytes(path)
        with source.open("rb") as file:
            default_storage.save(path, File(file))
        return
    target.parent.mkdir(parents=True, exist_ok=True)
    with source.open("rb") as file:
        os.fsync(file.fileno())
    source.chmod(0o640)
    source.replace(target)
    folder = os.open(target.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
