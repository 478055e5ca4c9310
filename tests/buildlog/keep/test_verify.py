"""`verify` names every file that is missing or changed, and every stray."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.utils import timezone

from buildlog.background.jobs import Job
from buildlog.keep.verify import verify
from tests.buildlog.keep.conftest import NOW

pytestmark = pytest.mark.django_db


def place(path: str) -> Path:
    return Path(default_storage.path(path))


def test_it_finds_nothing_wrong_where_nothing_is(photo, kept, capsys):
    kept(b"a second file")
    found = verify(NOW)
    assert found.fine
    assert found.checked == 3
    call_command("verify")
    assert "All 3 files are there" in capsys.readouterr().out


def test_it_names_what_is_missing_and_what_changed(photo, kept, capsys):
    lost = kept(b"it will be lost", "lost.txt")
    place(lost.path).unlink()
    # One bit, the size the same.
    original = place(photo.file.path)
    original.chmod(0o600)
    original.write_bytes(b"an oriGinal")
    with pytest.raises(SystemExit, match="1"):
        call_command("verify")
    said = capsys.readouterr().err
    assert f"Missing: “lost.txt” of Tender ({lost.path})" in said
    assert f"Changed: “keel.jpg” of Tender ({photo.file.path})" in said


def test_it_names_what_nothing_speaks_of_unless_it_is_on_its_way(photo, settings):
    default_storage.save("originals/zz/stray", ContentFile(b"stray"))
    stray = place("originals/zz/stray")
    now = timezone.now()
    assert verify(now).fine
    os.utime(stray, (time.time() - 3600,) * 2)
    assert verify(now).strays == ["originals/zz/stray"]


def test_it_has_renditions_made_again(photo, capsys):
    rendition = photo.renditions.get()
    place(rendition.path).unlink()
    with pytest.raises(SystemExit):
        call_command("verify", remake=True)
    assert "Photos whose sizes are made again: 1." in capsys.readouterr().out
    assert not photo.renditions.exists()
    assert Job.objects.get().args == {"photo": photo.pk}
    assert place(photo.file.path).exists()
