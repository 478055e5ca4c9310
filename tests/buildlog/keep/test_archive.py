"""A damaged, cut or tampered archive is refused, whatever was done to it."""

from __future__ import annotations

import hashlib
import json
import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.test import override_settings

from buildlog.keep.archive import DATABASE, MANIFEST, Archive, Damaged
from buildlog.keep.backup import CannotBackUp, back_up
from buildlog.keep.restore import check_archive
from tasks.models import Build
from tests.buildlog.keep.conftest import NOW, keep, make_photo

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def made_once(tmp_path_factory, django_db_setup, django_db_blocker) -> Path:
    """An archive of a build with a photo and a receipt. The rows are gone afterwards."""
    folder = tmp_path_factory.mktemp("made-once")
    target = folder / "kept" / "boat.zip"
    with django_db_blocker.unblock(), override_settings(MEDIA_ROOT=folder, DATA_DIR=folder):
        build = Build.objects.create(name="Tender", slug="tender")
        photo = make_photo(build)
        keep(build, b"0123456789" * 1000)
        try:
            report = back_up(target, NOW)
        finally:
            photo.delete()
            build.delete()
    assert report.whole
    assert report.files == 3
    assert target.stat().st_mode & 0o777 == 0o600
    assert [path.name for path in target.parent.iterdir()] == ["boat.zip"]
    return target


@pytest.fixture
def archive(made_once, tmp_path) -> Path:
    return Path(shutil.copy(made_once, tmp_path / "boat.zip"))


def rewrite(path: Path, change: Callable[[dict[str, bytes]], Any]) -> None:
    """Write the archive anew, as a well-formed ZIP file, after a change to its members."""
    with zipfile.ZipFile(path) as old:
        members = {name: old.read(name) for name in old.namelist()}
    change(members)
    with zipfile.ZipFile(path, "w") as new:
        for name, content in members.items():
            new.writestr(name, content)


def original_in(members: dict[str, Any]) -> str:
    return next(name for name in members if name.startswith("files/originals/"))


def test_a_good_one_is_whole_and_names_what_it_holds(archive, capsys):
    with Archive(archive) as read:
        read.check()
        manifest = read.manifest
    assert manifest.rows["files_storedfile"] == 2
    assert manifest.rows["tasks_build"] == 1
    assert manifest.made_at == NOW.isoformat()
    assert "tasks.0001_initial" in manifest.migrations
    assert sorted(name.split("/")[0] for name in manifest.members) == [
        DATABASE, "files", "files", "files",
    ]  # fmt: skip
    call_command("verify", archive)
    assert "is whole" in capsys.readouterr().out


def test_it_is_never_written_over(archive):
    before = archive.read_bytes()
    with pytest.raises(CannotBackUp, match="is there already"):
        back_up(archive, NOW)
    assert archive.read_bytes() == before


def test_any_cut_is_noticed(archive, tmp_path):
    whole = archive.read_bytes()
    cut = tmp_path / "cut.zip"
    for share in (0, 0.1, 0.5, 0.9, 0.999):
        cut.write_bytes(whole[: int(len(whole) * share)])
        with pytest.raises(Damaged):
            check_archive(cut)


def test_any_changed_byte_is_noticed(archive, tmp_path):
    whole = archive.read_bytes()
    with zipfile.ZipFile(archive) as read:
        # Where content lies; elsewhere a byte may be without meaning (a time of day, say).
        places = [
            about.header_offset + 30 + len(about.filename) + 20 + about.compress_size // 2
            for about in read.infolist()
        ]
    changed = tmp_path / "changed.zip"
    for place in places:
        changed.write_bytes(whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :])
        with pytest.raises(Damaged):
            check_archive(changed)


def set_content(name: str | None, content: bytes) -> Callable[[dict[str, bytes]], Any]:
    return lambda members: members.update({name or original_in(members): content})


def change_manifest(change: Callable[[dict[str, Any]], Any]) -> Callable[[dict[str, bytes]], Any]:
    def apply(members: dict[str, bytes]) -> None:
        said = json.loads(members[MANIFEST])
        change(said)
        members[MANIFEST] = json.dumps(said).encode()

    return apply


def about(content: bytes) -> dict[str, Any]:
    return {"size": len(content), "sha256": hashlib.sha256(content).hexdigest()}


def forge(members: dict[str, bytes]) -> None:
    """Change an original, and the manifest with it."""
    name = original_in(members)
    members[name] = b"forged"
    change_manifest(lambda said: said["members"].update({name: about(b"forged")}))(members)


def drop_row_file(members: dict[str, bytes]) -> None:
    name = original_in(members)
    del members[name]
    change_manifest(lambda said: said["members"].pop(name))(members)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (set_content(None, b"other"), "is not what was written"),
        (set_content(DATABASE, b"other"), "is not what was written"),
        (set_content("files/originals/../../../etc/cron.d/x", b"x"), "does not name"),
        (set_content("/etc/passwd", b"x"), "does not name"),
        (set_content("notes.txt", b"x"), "does not name"),
        (lambda members: members.pop(original_in(members)), "is missing from it"),
        (lambda members: members.pop(DATABASE), "is missing from it"),
        (lambda members: members.pop(MANIFEST), "has no manifest"),
        (set_content(MANIFEST, b"{"), "manifest cannot be read"),
        (set_content(MANIFEST, b"[]"), "manifest cannot be read"),
        (change_manifest(lambda said: said.update(format=2)), "of format 2"),
        (change_manifest(lambda said: said["rows"].update(tasks_build=2)), "as many rows"),
        (forge, "is not the file of that name"),
        (drop_row_file, "is missing from it"),
    ],
)
def test_tampering_is_noticed(archive, change, said):
    rewrite(archive, change)
    with pytest.raises(Damaged, match=said):
        check_archive(archive)


@pytest.mark.parametrize(
    "name", ["files/originals/../x", "../x", "/etc/x", "files/other/x", "files/originals/ab/ab"]
)
def test_a_name_with_no_place_is_refused_even_if_the_manifest_has_it(archive, name):
    def add(members: dict[str, bytes]) -> None:
        members[name] = b"x"
        change_manifest(lambda said: said["members"].update({name: about(b"x")}))(members)

    rewrite(archive, add)
    with pytest.raises(Damaged, match="no place in a data folder"):
        check_archive(archive)


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_a_name_twice_is_refused(archive):
    with zipfile.ZipFile(archive, "a") as more:
        more.writestr(DATABASE, b"another")
    with pytest.raises(Damaged, match="twice"):
        check_archive(archive)


def test_something_else_is_refused(tmp_path):
    other = tmp_path / "letter.zip"
    other.write_bytes(b"Dear builder")
    with pytest.raises(Damaged, match="cannot be read as a backup"):
        check_archive(other)
    with pytest.raises(CommandError, match="cannot be read as a backup"):
        call_command("verify", tmp_path / "none.zip")


@pytest.mark.django_db(transaction=True)
def test_what_the_storage_has_lost_is_said_and_the_rest_kept(photo, kept, tmp_path, settings):
    lost = kept(b"it will be lost", "lost.txt")
    (settings.MEDIA_ROOT / lost.path).unlink()
    changed = settings.MEDIA_ROOT / photo.file.path
    changed.chmod(0o600)
    changed.write_bytes(b"a changed original")
    report = back_up(tmp_path / "boat.zip", NOW)
    assert [one.label for one in report.missing] == ["“lost.txt” of Tender"]
    assert [one.label for one in report.changed] == ["“keel.jpg” of Tender"]
    check_archive(tmp_path / "boat.zip")
