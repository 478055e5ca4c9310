"""A backup of the running program gives everything back, byte for byte and row for row."""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import sqlite3
import subprocess
import sys
import zipfile
from dataclasses import dataclass
from pathlib import Path

import pytest
from django.core.management import call_command

from buildlog.keep import rows
from buildlog.keep.backup import back_up
from buildlog.keep.restore import restore
from buildlog.start.lock import DataFolderLock
from tasks.models import Build, Stage
from tests.buildlog.keep.conftest import NOW
from tests.served import ROOT, ask, environment, manage

on_postgresql = pytest.mark.skipif(
    "postgres" not in os.environ.get("DATABASE_URL", ""), reason="DATABASE_URL is no PostgreSQL"
)


def all_rows(path: Path) -> dict[str, list[tuple]]:
    """Every row of every table of a SQLite file."""
    with contextlib.closing(sqlite3.connect(path)) as database:
        names = database.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
        return {
            name: sorted(database.execute(f'SELECT * FROM "{name}"').fetchall(), key=repr)
            for (name,) in names
        }


def all_files(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for top in ("originals", "renditions")
        for path in sorted((folder / top).rglob("*"))
        if path.is_file()
    }


@dataclass
class Made:
    """A data folder, a backup made of it while it was written to, and one made at rest."""

    folder: Path
    busy: Path
    rest: Path


@pytest.fixture(scope="module")
def made(folder_once_served, tmp_path_factory) -> Made:
    folder = tmp_path_factory.mktemp("busy") / "data"
    shutil.copytree(folder_once_served, folder)
    made = Made(folder, folder.with_name("busy.zip"), folder.with_name("rest.zip"))
    writers = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.buildlog.keep.busy", str(first)],
            cwd=ROOT,
            env=environment(folder),
            stdout=subprocess.PIPE,
            text=True,
        )
        for first in (0, 1_000_000)
    ]
    try:
        for writer in writers:
            assert writer.stdout.readline() == "busy\n"
        before = manage(folder, "backup", str(made.busy))
        assert before.returncode == 0, before.stderr
        assert all(writer.poll() is None for writer in writers)
    finally:
        for writer in writers:
            writer.terminate()
            writer.communicate(timeout=30)
    after = manage(folder, "backup", str(made.rest))
    assert after.returncode == 0, after.stderr
    assert re.search(r"SHA-256 [0-9a-f]{64}$", after.stdout.strip())
    return made


@pytest.fixture
def new(tmp_path) -> Path:
    """A data folder that is not there yet."""
    return tmp_path / "new"


@pytest.mark.served
def test_under_writes_it_is_the_picture_of_one_moment(made, new):
    given = manage(new, "restore", str(made.busy))
    assert given.returncode == 0, given.stderr
    stages = ask(new, "SELECT name FROM tasks_stage ORDER BY name")
    assert stages == ask(new, "SELECT name FROM files_storedfile ORDER BY name")
    assert len(stages) >= 20
    assert len(all_files(new / "files")) == len(stages)
    checked = manage(new, "verify")
    assert checked.returncode == 0, checked.stderr


@pytest.mark.served
def test_at_rest_every_row_and_every_byte_come_back(made, new):
    given = manage(new, "restore", str(made.rest))
    assert given.returncode == 0, given.stderr
    with zipfile.ZipFile(made.rest) as archive:
        assert (new / "buildlog.sqlite3").read_bytes() == archive.read("database.sqlite3")
    assert all_rows(new / "buildlog.sqlite3") == all_rows(made.folder / "buildlog.sqlite3")
    assert all_files(new / "files") == all_files(made.folder / "files")
    assert (new / "secret_key").read_bytes() == (made.folder / "secret_key").read_bytes()
    again = manage(new, "restore", str(made.rest))
    assert again.returncode == 1
    assert "is not empty, and a restore overwrites nothing" in again.stderr


@pytest.mark.served
def test_a_damaged_archive_leaves_the_folder_as_it_was(made, new, tmp_path):
    damaged = tmp_path / "damaged.zip"
    whole = made.rest.read_bytes()
    damaged.write_bytes(whole[:2000] + bytes([whole[2000] ^ 1]) + whole[2001:])
    given = manage(new, "restore", str(damaged))
    assert given.returncode == 1
    assert "The backup is damaged; nothing was restored." in given.stderr
    assert "Traceback" not in given.stderr
    assert not (new / "files").exists()
    assert not ask(new, "SELECT name FROM sqlite_master")


@pytest.mark.served
def test_what_is_served_is_not_restored_into(made, new):
    new.mkdir()
    lock = DataFolderLock(new)
    lock.take()
    given = manage(new, "restore", str(made.rest))
    lock.release()
    assert given.returncode == 1
    assert "Stop it first." in given.stderr


@pytest.mark.django_db(transaction=True)
@on_postgresql
def test_postgresql_gives_and_takes_every_row(photo, kept, make_task, owner, tmp_path, settings):
    make_task("1", 3)
    kept(b"a second file")
    back_up(tmp_path / "one.zip", NOW)
    call_command("flush", interactive=False, verbosity=0)
    (settings.MEDIA_ROOT / "originals").rename(tmp_path / "originals-before")
    (settings.MEDIA_ROOT / "renditions").rename(tmp_path / "renditions-before")

    report = restore(tmp_path / "one.zip")
    assert report.files == 3
    back_up(tmp_path / "two.zip", NOW)
    contents = []
    for name in ("one", "two"):
        with zipfile.ZipFile(tmp_path / f"{name}.zip") as archive:
            archive.extract("database.sqlite3", tmp_path / name)
        contents.append(all_rows(tmp_path / name / "database.sqlite3"))
    one, two = contents
    one.pop("django_migrations"), two.pop("django_migrations")  # each file was made anew
    assert one == two
    assert len(one["tasks_task"]) == 1
    # The next row gets a number of its own.
    assert Stage.objects.create(build=Build.objects.get(), name="Next", order=9).pk


@pytest.mark.django_db(transaction=True)
@on_postgresql
def test_what_postgresql_gives_sqlite_takes(photo, make_task, tmp_path):
    make_task("1", 3)
    back_up(tmp_path / "one.zip", NOW)
    new = tmp_path / "new"
    given = manage(new, "restore", str(tmp_path / "one.zip"))
    assert given.returncode == 0, given.stderr
    assert ask(new, "SELECT code, likely_minutes FROM tasks_task") == [("1", 180)]
    assert manage(new, "verify").returncode == 0
    assert rows.count_rows(new / "buildlog.sqlite3")["files_storedfile"] == 1
