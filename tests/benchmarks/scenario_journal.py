"""The log and the photos of a scenario. The photos share one tiny file."""

from __future__ import annotations

import datetime as dt
import hashlib
import io

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db.models import Model
from PIL import Image

from buildlog.files.models import StoredFile
from buildlog.journal.models import Entry, Photo, Rendition
from buildlog.materials.models import Purchase
from tests.benchmarks.scenario import Scenario

DAYS = 850
TEXT = """Dry fitted the piece and marked it where it stood proud.

- planed the landing until the feeler would not pass
- wetted out, thickened, clamped with eleven clamps and *not* too hard

Left under a blanket overnight. The shed stayed warm. Piece {n}."""


def fill(scenario: Scenario) -> None:
    _entries(scenario)
    _photos(scenario)
    _renditions(scenario)


def _entries(scenario: Scenario) -> None:
    """The known entry, a hand's, tells of many hours and hangs on several tasks."""
    count, works = scenario.sizes.entries, scenario.rows["work"]
    entries = scenario.add(
        [
            Entry(
                build=scenario.build, day=works[n].day, text=TEXT.format(n=n),
                author=scenario.rows["person"][(n + 1) % scenario.sizes.crew], air_c=14,
                surface_c=12, humidity=60,
            )
            for n in range(count)
        ]
    )  # fmt: skip
    on_one = scenario.sizes.on_one
    _join(Entry.work.through, "entry", entries, "work", works)
    _join(
        Entry.tasks.through, "entry", entries, "task",
        [scenario.often_one(n, "task") for n in range(count)],
    )  # fmt: skip
    also = scenario.rows["in plan order"][: on_one - 1]
    _join(Entry.tasks.through, "entry", [entries[0]] * len(also), "task", also)
    more = works[count // 2 : count // 2 + on_one]
    _join(Entry.work.through, "entry", [entries[0]] * len(more), "work", more)


def _join(
    through: type[Model], left: str, lefts: list[Model], right: str, rights: list[Model]
) -> None:  # fmt: skip
    through._default_manager.bulk_create(
        (
            through(**{f"{left}_id": one.pk, f"{right}_id": other.pk})
            for one, other in zip(lefts, rights, strict=True)
        ),
        batch_size=2_000,
    )


def _photos(scenario: Scenario) -> None:
    count, build = scenario.sizes.photos, scenario.build
    data = _picture("JPEG")
    sha256 = [hashlib.sha256(data if n == 0 else b"%d" % n).hexdigest() for n in range(count)]
    files = scenario.add(
        [
            StoredFile(
                build=build, sha256=sha256[n], size=len(data), mime="image/jpeg",
                name=f"shed-{n:05}.jpg",
            )
            for n in range(count)
        ]
    )  # fmt: skip
    if not default_storage.exists(files[0].path):
        default_storage.save(files[0].path, ContentFile(data))
    photos = scenario.add(
        [
            Photo(
                build=build, file=files[n], width=4000, height=3000, taken_from="camera",
                entry=scenario.often_one(n, "entry") if n % 2 == 0 else None,
                stage=scenario.often_one(n, "stage") if n % 3 == 0 else None,
                caption=f"Clamped up, view {n}" if n % 4 else "",
                person=scenario.rows["person"][(n + 1) % scenario.sizes.crew],
                taken_at=scenario.now - dt.timedelta(days=DAYS * n / count, hours=1),
            )
            for n in range(count)
        ]
    )  # fmt: skip
    Purchase.objects.filter(pk=scenario.one).update(receipt=files[0])
    hung = [scenario.often_one(n, "task") for n in range(count)]
    _join(Photo.tasks.through, "photo", photos, "task", hung)


def _renditions(scenario: Scenario) -> None:
    data = _picture("WEBP")
    sha256, path = hashlib.sha256(data).hexdigest(), f"renditions/{scenario.build.slug}.webp"
    if not default_storage.exists(path):
        default_storage.save(path, ContentFile(data))
    scenario.tokens["rendition"] = sha256
    scenario.add(
        [
            Rendition(
                photo=photo, long_side=side, path=path, width=side, height=side * 3 // 4,
                size=len(data), sha256=sha256,
            )
            for photo in scenario.rows["photo"]
            for side in (320, 800, 1600)
        ]
    )  # fmt: skip


def _picture(form: str) -> bytes:
    buffer = io.BytesIO()
    Image.new("RGB", (4, 3), "white").save(buffer, form)
    return buffer.getvalue()
