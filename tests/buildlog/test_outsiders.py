"""Outsiders at every address of the project: nothing private is ever answered to them."""

from __future__ import annotations

import datetime as dt
import hashlib

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import connection
from django.test import Client
from django.utils import timezone

from buildlog.door.crew import invite
from buildlog.files.models import StoredFile
from buildlog.journal.models import Entry, Photo, Rendition
from buildlog.materials.models import Material, Part, Price, Purchase, Supplier
from buildlog.supporters import showing
from buildlog.supporters.models import Contribution, PublicPage, Supporter, Update
from tasks.models import Link, Work
from tests.addresses import every_address

SECRET = "PRIVATE"
NOW = timezone.now()

# What an outsider may open: signing in, links that somebody was given, whether it is up, how
# the API reads.
OPEN = {"sign-in", "first", "join", "healthz", "api-schema"}


@pytest.fixture(autouse=True)
def numbered_alike(db):
    """The first row of every table has the same number, so that few numbers find all rows.

    SQLite begins at one in every test; PostgreSQL's sequences go on from test to test.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT setval(seqrelid, 1000000, false) FROM pg_sequence")


@pytest.fixture
def page(build):
    return PublicPage.objects.create(build=build, intro="Hello.", shows_task_names=False)


@pytest.fixture
def rows(build, owner, stage, make_task, page):
    """A build with something private in every room, one photo and one update of it shown."""
    build.about = SECRET
    build.save()
    one, two = make_task("1", name=SECRET, notes=SECRET), make_task("2", name=SECRET)
    material = Material.objects.create(build=build, name=SECRET, kind="sheet", unit="sheet")
    supplier = Supplier.objects.create(build=build, name=SECRET)
    content = b"RIFF-PRIVATE"
    files = [
        StoredFile.objects.create(
            build=build, sha256=hashlib.sha256(b"%d" % n).hexdigest(), size=4, mime="image/jpeg",
            name=f"{SECRET}.jpg",
        )
        for n in range(2)
    ]  # fmt: skip
    photos = [
        Photo.objects.create(
            build=build, file=file, caption=caption, taken_from="camera", taken_at=NOW,
            width=4, height=3, stage=stage,
        )
        for file, caption in zip(files, (SECRET, "Shown photo"), strict=True)
    ]  # fmt: skip
    for photo, data in zip(photos, (content, b"RIFF-SHOWN"), strict=True):
        default_storage.save(f"renditions/{photo.pk}.webp", ContentFile(data))
        Rendition.objects.create(
            photo=photo, long_side=320, path=f"renditions/{photo.pk}.webp", width=4, height=3,
            size=len(data), sha256=hashlib.sha256(data).hexdigest(),
        )  # fmt: skip
    for file in files:
        default_storage.save(file.path, ContentFile(b"PRIVATE original"))
    supporter = Supporter.objects.create(
        build=build, name=SECRET, email="private@mail.example", since=NOW.date(), notes=SECRET
    )
    updates = [
        Update.objects.create(build=build, title=title, day=NOW.date())
        for title in (SECRET, "Shown update")
    ]
    updates[0].photos.set(photos)
    invitation, _ = invite(
        build, owner, role="owner", sees_money=True, note=SECRET,
        until=NOW + dt.timedelta(days=1),
    )  # fmt: skip
    showing.show(photos[1], owner, NOW)
    showing.show(updates[1], owner, NOW)
    return [
        one, two, stage, material, supplier, supporter, invitation, *files, *photos, *updates,
        Link.objects.create(build=build, before=one, after=two),
        Work.objects.create(build=build, person=owner, who=SECRET, day=NOW.date(), minutes=60),
        Entry.objects.create(build=build, text=SECRET, day=NOW.date(), author=owner),
        Contribution.objects.create(
            supporter=supporter, day=NOW.date(), amount=4711, note=SECRET
        ),
        Part.objects.create(build=build, name=SECRET, material=material, count=1),
        Price.objects.create(
            material=material, day=NOW.date(), net=4711, currency="EUR"
        ),
        Purchase.objects.create(
            build=build, supplier=supplier, ordered_on=NOW.date(), currency="EUR", notes=SECRET
        ),
    ]  # fmt: skip


@pytest.fixture
def addresses(build, page, rows):
    pks = sorted({row.pk for row in rows})[:4]
    renditions = list(Rendition.objects.values_list("sha256", flat=True))
    return every_address(Values(build, page, pks, renditions))


class Values(dict):
    """A parameter's values by its name; by its kind where the name says no more."""

    def __init__(self, build, page, pks, renditions):
        super().__init__(
            slug=[build.slug, "no-such"], address=[page.address, "no-such"], token=["x" * 43],
            pk=pks, long_side=[320], sha256=renditions, format=["json"],
        )  # fmt: skip
        self.pks = pks

    def __missing__(self, name):
        # A name or a number: addresses that take a word answer 404 to a number.
        return [*self.pks[:2], "csv", "tasks", "help"]


def body(answer) -> str:
    content = b"".join(answer.streaming_content) if answer.streaming else answer.content
    return content.decode(errors="replace")


def check_nothing_private(address, answer):
    assert answer.status_code < 500, address
    text = body(answer)
    for word in (SECRET, "private@mail", "4711"):
        assert word not in text, address
    return text


@pytest.mark.parametrize("switched_on", [False, True])
def test_somebody_not_signed_in(addresses, page, owner, switched_on):
    if switched_on:
        showing.show(page, owner, timezone.now())
    client = Client()
    opened = set()
    for address in addresses:
        answer = client.get(address.url)
        check_nothing_private(address, answer)
        if answer.status_code == 200:
            opened.add(address.name)
        elif answer.status_code in (301, 302):
            assert answer.url.startswith("/sign-in/?next="), address
        else:
            assert answer.status_code in (401, 403, 404, 405), address
        for name in answer.cookies:
            assert name == "csrftoken", address
    public = {name for name in opened if name.startswith("outside:")}
    assert opened - public <= OPEN, opened
    everything = {address.name for address in addresses if address.name.startswith("outside:")}
    assert public == (everything if switched_on else set())


def test_somebody_not_signed_in_changes_nothing(addresses, rows):
    client = Client()
    for address in addresses:
        answer = client.post(address.url)
        check_nothing_private(address, answer)
        assert answer.status_code in (200, 302, 401, 403, 404, 405), address
        if answer.status_code == 200:
            assert address.name in OPEN, address
    for row in rows:
        assert type(row).objects.filter(pk=row.pk).exists(), row


def test_a_stranger_with_an_account_finds_no_such_build(
    addresses, as_person, stranger, build, rows
):
    client = as_person(stranger)
    for address in addresses:
        if address.name in ("sign-out", "sign-out-everywhere") or "/no-such/" in address.url:
            continue  # a build there is not comes in below, to compare
        for method in (client.get, client.post):
            answer = method(address.url)
            check_nothing_private(address, answer)
            if address.url.startswith(f"/b/{build.slug}/"):
                # 405 says only that this address takes no such request, in any build.
                assert answer.status_code in (404, 405), address
                unknown = method(address.url.replace(f"/{build.slug}/", "/no-such/", 1))
                assert unknown.status_code == answer.status_code, address
    for row in rows:
        assert type(row).objects.filter(pk=row.pk).exists(), row
    assert not build.crew.filter(person=stranger).exists()


def test_with_the_page_on_only_what_was_shown_is_seen(client, page, owner, addresses):
    showing.show(page, owner, timezone.now())
    seen = "".join(
        body(client.get(address.url)) for address in addresses if "outside:" in address.name
    )
    assert "Shown update" in seen
    assert "Shown photo" in seen
    assert "RIFF-SHOWN" in seen
    assert SECRET not in seen
