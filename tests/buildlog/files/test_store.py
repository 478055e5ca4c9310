from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import InMemoryStorage
from django.core.files.uploadedfile import SimpleUploadedFile

from buildlog.files import Refused, store
from buildlog.files.models import StoredFile, content_path
from buildlog.files.serve import send_original
from buildlog.materials.models import Purchase, Supplier
from tasks.models import Build

PDF = b"%PDF-1.7 a receipt for two sheets of plywood"


def upload(data: bytes = PDF, name: str = "receipt.pdf") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data, content_type="image/jpeg")


def files_under(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file()]


def test_it_keeps_the_bytes_by_their_hash(build, settings):
    stored = store.keep(build, upload(), allowed=("application/pdf",))

    assert stored.sha256 == hashlib.sha256(PDF).hexdigest()
    assert (stored.size, stored.mime, stored.name) == (len(PDF), "application/pdf", "receipt.pdf")
    assert (Path(settings.MEDIA_ROOT) / stored.path).read_bytes() == PDF
    with store.open_original(stored) as file:
        assert file.read() == PDF
    assert files_under(Path(settings.MEDIA_ROOT) / "incoming") == []


def test_the_same_content_twice_is_one_row_under_its_first_name(build):
    first = store.keep(build, upload())
    second = store.keep(build, upload(name="copy of receipt.pdf"))

    assert first == second
    assert StoredFile.objects.get().name == "receipt.pdf"


def test_two_builds_have_a_row_each_and_share_the_bytes(build, stranger, settings):
    store.keep(build, upload())
    store.keep(Build.objects.get(slug="other"), upload())

    assert StoredFile.objects.count() == 2
    assert len(files_under(Path(settings.MEDIA_ROOT))) == 1


@pytest.mark.parametrize(
    ("data", "options", "reason"),
    [
        (b"", {}, "empty"),
        (b"x" * 1025, {"max_bytes": 1024}, "larger than 0.000976562 MB"),
        (PDF, {"allowed": ("image/jpeg", "image/png")}, "It is a PDF document"),
        (b"<html>", {"allowed": ("image/jpeg",)}, "what can be taken in is a JPEG picture"),
    ],
)
def test_what_is_refused_leaves_no_trace(build, settings, data, options, reason):
    with pytest.raises(Refused, match=reason) as refused:
        store.keep(build, upload(data), **options)

    assert refused.value.reason
    assert not StoredFile.objects.exists()
    assert files_under(Path(settings.MEDIA_ROOT)) == []


def test_a_sender_that_breaks_off_leaves_no_trace(build, settings):
    class BrokenOff(ContentFile):
        def chunks(self, chunk_size=None):
            yield b"the first half"
            raise OSError("connection reset")

    with pytest.raises(OSError, match="connection reset"):
        store.keep(build, BrokenOff(b"x", name="half.jpg"))
    assert files_under(Path(settings.MEDIA_ROOT)) == []


@pytest.mark.django_db(transaction=True)
def test_a_row_that_cannot_be_written_takes_its_bytes_with_it(build, settings, monkeypatch):
    def fails(**kwargs):
        raise RuntimeError("disk full")

    monkeypatch.setattr(StoredFile.objects, "get_or_create", fails)
    with pytest.raises(RuntimeError, match="disk full"):
        store.keep(build, upload())
    assert files_under(Path(settings.MEDIA_ROOT)) == []


def test_lost_bytes_come_back_when_the_same_file_is_sent_again(build, settings):
    stored = store.keep(build, upload())
    path = Path(settings.MEDIA_ROOT) / stored.path
    path.write_bytes(b"cut short")

    store.keep(build, upload())
    assert path.read_bytes() == PDF


AT_ONCE = """
import threading
import django
django.setup()
from django.core.files.base import ContentFile
from django.core.management import call_command
from django.db import connections
from buildlog.files import store
from buildlog.files.models import StoredFile
from tasks.models import Build

call_command("migrate", verbosity=0)
build = Build.objects.create(name="Tender", slug="tender")
together = threading.Barrier(8)

def send():
    together.wait(timeout=10)
    store.keep(build, ContentFile(b"the same bytes" * 1000, name="a.bin"))
    connections.close_all()

threads = [threading.Thread(target=send) for _ in range(8)]
for thread in threads:
    thread.start()
for thread in threads:
    thread.join(60)
print(StoredFile.objects.count(), "row")
"""


def test_the_same_upload_at_the_same_moment_gives_one_row(tmp_path):
    """In a process of its own, on a database file: threads cannot share the test database."""
    done = subprocess.run(
        [sys.executable, "-c", AT_ONCE],
        env=os.environ
        | {
            "BUILDLOG_DATA": str(tmp_path / "own"),
            "DATABASE_URL": f"sqlite:///{tmp_path / 'own.sqlite3'}",
            "DJANGO_SETTINGS_MODULE": "buildlog.settings",
        },
        cwd=Path(__file__).resolve().parents[3],
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert (done.stdout.strip(), done.stderr) == ("1 row", "")
    assert len(files_under(tmp_path / "own" / "files")) == 1


def test_discarding_removes_row_and_bytes(build, settings, django_capture_on_commit_callbacks):
    stored = store.keep(build, upload())
    with django_capture_on_commit_callbacks(execute=True):
        assert store.discard(stored) is True

    assert not StoredFile.objects.exists()
    assert files_under(Path(settings.MEDIA_ROOT)) == []


def test_bytes_stay_while_another_build_has_them(
    build, stranger, settings, django_capture_on_commit_callbacks
):
    other = store.keep(Build.objects.get(slug="other"), upload())
    with django_capture_on_commit_callbacks(execute=True):
        store.discard(store.keep(build, upload()))

    with store.open_original(other) as file:
        assert file.read() == PDF


def test_a_file_that_something_refers_to_survives(build, django_capture_on_commit_callbacks):
    stored = store.keep(build, upload())
    Purchase.objects.create(
        build=build, supplier=Supplier.objects.create(build=build, name="Timber yard"),
        ordered_on="2026-02-01", currency="EUR", receipt=stored,
    )  # fmt: skip
    with django_capture_on_commit_callbacks(execute=True):
        assert store.discard(stored) is False
    with store.open_original(stored) as file:
        assert file.read() == PDF


def test_a_storage_without_folders_serves_as_well(build, monkeypatch):
    bucket = InMemoryStorage()
    for module in ("store", "receive"):
        monkeypatch.setattr(f"buildlog.files.{module}.default_storage", bucket)

    stored = store.keep(build, upload())
    store.keep(build, upload())
    store.write_bytes("renditions/1.webp", b"small")

    assert bucket.open(content_path(stored.sha256)).read() == PDF
    assert bucket.open("renditions/1.webp").read() == b"small"


def test_what_a_killed_process_left_is_swept_after_a_day(build, settings):
    incoming = Path(settings.MEDIA_ROOT) / "incoming"
    incoming.mkdir(parents=True)
    for name, age in (("in-old", 2 * 86400), ("in-new", 60)):
        (incoming / name).write_bytes(b"half")
        then = (incoming / name).stat().st_mtime - age
        os.utime(incoming / name, (then, then))

    store.keep(build, upload())
    assert [path.name for path in files_under(incoming)] == ["in-new"]


def test_an_original_is_sent_as_something_to_save_and_never_to_run(build):
    stored = store.keep(build, upload(b"<html><script>alert(1)</script>", "x.html"))
    response = send_original(stored)

    assert b"".join(response.streaming_content).startswith(b"<html>")
    assert response["Content-Disposition"] == 'attachment; filename="x.html"'
    assert response["Content-Type"] == "text/html"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in response["Content-Security-Policy"]
    response.file_to_stream.close()
