from __future__ import annotations

import datetime as dt
from functools import partial

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from buildlog.files import store
from buildlog.files.models import StoredFile
from buildlog.journal.models import Photo, Rendition
from buildlog.keep.kept import measure
from tasks.models import Build

NOW = dt.datetime(2026, 3, 14, 9, 26, 53, tzinfo=dt.UTC)


def keep(build: Build, content: bytes, name: str = "receipt.txt") -> StoredFile:
    return store.keep(build, ContentFile(content, name=name))


def make_photo(build: Build) -> Photo:
    """A photo with one rendition. Its pixels do not matter here."""
    made = Photo.objects.create(
        build=build, file=keep(build, b"an original", "keel.jpg"), taken_at=NOW,
        taken_from="camera", width=4, height=3,
    )  # fmt: skip
    content = ContentFile(b"a rendition")
    size, sha256 = measure(content)
    path = f"renditions/{made.pk}/800-{sha256}.webp"
    content.seek(0)
    default_storage.save(path, content)
    Rendition.objects.create(
        photo=made, long_side=800, path=path, width=4, height=3, size=size, sha256=sha256
    )
    return made


@pytest.fixture
def kept(build):
    """Keep a file of the build, with what is given as its content."""
    return partial(keep, build)


@pytest.fixture
def photo(build) -> Photo:
    return make_photo(build)
