"""What `serve` does before it serves."""

from __future__ import annotations

import os

import pytest
from django.contrib.staticfiles.finders import find
from django.db import connection
from django.utils import timezone

from buildlog.keep import rows
from buildlog.start import prepare


@pytest.fixture
def ran(monkeypatch):
    names = []
    monkeypatch.setattr(prepare, "call_command", lambda name, **options: names.append(name))
    return names


@pytest.mark.django_db
def test_it_migrates_only_where_there_is_something_to_do(ran, monkeypatch):
    assert prepare.prepare_database(timezone.now()) is None
    assert ran == []
    monkeypatch.setattr(prepare, "migrations_to_run", lambda: ["tasks.0002_more"])
    assert prepare.prepare_database(timezone.now()) is None  # there is no row to keep
    assert ran == ["migrate"]


@pytest.mark.django_db(transaction=True)
def test_it_copies_the_rows_before_it_changes_their_tables(ran, monkeypatch, build, settings):
    monkeypatch.setattr(prepare, "migrations_to_run", lambda: ["tasks.0002_more"])
    kept = prepare.prepare_database(timezone.now())
    if connection.vendor != "sqlite":
        assert kept is None
        return
    assert kept.parent == settings.DATA_DIR / "backups"
    assert kept.stat().st_mode & 0o777 == 0o600
    assert rows.count_rows(kept)["tasks_build"] == 1


def test_it_collects_static_files_only_when_they_changed(ran, settings, tmp_path, monkeypatch):
    settings.STATIC_ROOT = tmp_path / "static"
    settings.STATIC_ROOT.mkdir()
    prints = ["one"]
    monkeypatch.setattr(prepare, "_fingerprint", lambda: prints[-1])
    for _ in range(2):
        prepare.prepare_static_files()
    assert ran == ["collectstatic"]
    prints.append("two")
    prepare.prepare_static_files()
    assert ran == ["collectstatic"] * 2


def test_the_fingerprint_follows_the_files():
    before = prepare._fingerprint()
    assert prepare._fingerprint() == before
    path = find("background/progress.css")
    was = os.stat(path)
    os.utime(path, ns=(was.st_atime_ns, was.st_mtime_ns + 1))
    try:
        assert prepare._fingerprint() != before
    finally:
        os.utime(path, ns=(was.st_atime_ns, was.st_mtime_ns))


def test_the_folder_is_its_owners_alone(tmp_path):
    (tmp_path / "data").mkdir(mode=0o755)
    prepare.prepare_folder(tmp_path / "data")
    prepare.prepare_folder(tmp_path / "more" / "data")
    assert (tmp_path / "data").stat().st_mode & 0o777 == 0o700
    assert (tmp_path / "more" / "data").stat().st_mode & 0o777 == 0o700
