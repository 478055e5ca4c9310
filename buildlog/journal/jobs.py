"""Background work of the journal: the renditions of a photo."""

from __future__ import annotations

import contextlib
import shutil
import tempfile
from collections.abc import Iterator
from functools import partial
from pathlib import Path

from django.db import transaction

from buildlog.background.jobs import GiveUp, Job, kind
from buildlog.files import Refused
from buildlog.files.models import StoredFile
from buildlog.files.receive import local_path
from buildlog.files.store import delete_bytes, open_original, write_bytes
from buildlog.journal.models import Photo, Rendition
from buildlog.journal.renditions import LONG_SIDES, Made, make_renditions

RENDITIONS = "photo-renditions"


@kind(RENDITIONS, says="Making the sizes of a photo")
def run_renditions(job: Job, photo: int) -> None:
    """Make what is missing of a photo's renditions. Twice does no harm, nor a photo gone."""
    row = Photo.objects.select_related("file").filter(pk=photo).first()
    if row is None or row.renditions.count() == len(LONG_SIDES):
        return
    try:
        with on_this_machine(row.file) as path:
            for done, made in enumerate(make_renditions(path, row.file.mime, row.turned), 1):
                keep_rendition(job, row, made)
                job.step(done, len(LONG_SIDES))
    except FileNotFoundError:
        raise GiveUp(f"The original of “{row.file.name}” is not in its place.") from None
    except Refused as refused:
        raise GiveUp(f"“{row.file.name}”: {refused.reason}") from refused


def keep_rendition(job: Job, photo: Photo, made: Made) -> None:
    """Bytes first, then the row; neither stays if the photo was turned or deleted meanwhile."""
    path = f"renditions/{photo.pk}/{made.long_side}-{made.sha256}.webp"
    write_bytes(path, made.data)
    with job.holding():
        same = Photo.objects.select_for_update().filter(pk=photo.pk, turned=photo.turned)
        wanted = same.exists()
        if wanted:
            Rendition.objects.update_or_create(
                photo=photo,
                long_side=made.long_side,
                defaults={
                    "path": path,
                    "width": made.width,
                    "height": made.height,
                    "size": len(made.data),
                    "sha256": made.sha256,
                },
            )
    if not wanted:
        delete_bytes(path)


def bytes_follow_row(sender: type[Rendition], instance: Rendition, **kwargs: object) -> None:
    """However a rendition's row goes, its bytes go once that is certain."""
    transaction.on_commit(partial(delete_bytes, instance.path))


@contextlib.contextmanager
def on_this_machine(stored: StoredFile) -> Iterator[Path]:
    """A path to an original's bytes: its own, or a copy's where the storage is elsewhere."""
    path = local_path(stored.path)
    if path is not None:
        yield path
        return
    with tempfile.NamedTemporaryFile(prefix="original-") as copy:
        with open_original(stored) as original:
            shutil.copyfileobj(original, copy)
        copy.flush()
        yield Path(copy.name)
