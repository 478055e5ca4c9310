from __future__ import annotations

import datetime as dt
import hashlib
import itertools

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.test import Client
from django.utils import timezone

from buildlog.files.models import StoredFile
from buildlog.journal.models import Photo, Rendition
from buildlog.supporters import showing
from buildlog.supporters.models import PublicPage, Supporter, Update

TAKEN = dt.datetime(2026, 3, 1, 12, tzinfo=dt.UTC)
numbers = itertools.count(1)


@pytest.fixture
def make_photo(build):
    """A photo with its copies in the storage; `copies=()` for one still waiting for them."""

    def make(caption: str = "", copies=(320, 800, 1600), **more) -> Photo:
        n = next(numbers)
        stored = StoredFile.objects.create(
            build=build, sha256=hashlib.sha256(b"%d" % n).hexdigest(), size=3, mime="image/jpeg",
            name=f"PRIVATE-{n}.jpg",
        )  # fmt: skip
        photo = Photo.objects.create(
            build=build, file=stored, caption=caption, taken_from="camera",
            taken_at=TAKEN + dt.timedelta(minutes=n), width=1600, height=1200, **more,
        )  # fmt: skip
        for side in copies:
            content = b"RIFF%d-%d" % (n, side)
            path = default_storage.save(f"renditions/{n}-{side}.webp", ContentFile(content))
            Rendition.objects.create(
                photo=photo, long_side=side, path=path, width=side, height=side * 3 // 4,
                size=len(content), sha256=hashlib.sha256(content).hexdigest(),
            )  # fmt: skip
        return photo

    return make


@pytest.fixture
def make_update(build):
    def make(title: str = "Ribbands on", *, photos=(), **more) -> Update:
        fields = {"text": "They **lie** fair.", "day": dt.date(2026, 3, 1)}
        row = Update.objects.create(build=build, title=title, **(fields | more))
        row.photos.set(photos)
        return row

    return make


@pytest.fixture
def make_supporter(build):
    def make(name: str, **more) -> Supporter:
        fields = {"since": dt.date(2026, 1, 1), "agreed": True}
        return Supporter.objects.create(build=build, name=name, **(fields | more))

    return make


@pytest.fixture
def show(owner):
    def do(*things):
        for thing in things:
            showing.show(thing, owner, timezone.now())

    return do


@pytest.fixture
def take_back(owner):
    def do(*things):
        for thing in things:
            showing.take_back(thing, owner, timezone.now())

    return do


@pytest.fixture
def page(build):
    """The public page with all that can be ticked, switched off."""
    return PublicPage.objects.create(build=build, intro="She is *small*.", shows_task_names=True)


@pytest.fixture
def open_page(page, show):
    show(page)
    return page


@pytest.fixture
def url():
    from django.urls import reverse

    def make(page, name="page", *args):
        return reverse(f"outside:{name}", args=[page.address, *args])

    return make


@pytest.fixture(autouse=True)
def no_file_left_open(monkeypatch):
    """A test that looks only at the headers of a file's answer need not read it."""
    closers = []
    request = Client.request

    def noted(self, **environ):
        response = request(self, **environ)
        if response.streaming:
            closers.extend(response._resource_closers)
        return response

    monkeypatch.setattr(Client, "request", noted)
    yield
    for close in closers:
        close()
