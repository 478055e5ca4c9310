"""Give an archive back, into an empty data folder, after all of it has been checked."""

from __future__ import annotations

import shutil
import tempfile
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.core.files import File
from django.core.files.storage import FileSystemStorage, default_storage
from django.core.management import call_command
from django.db import DEFAULT_DB_ALIAS, connection

from buildlog import secret_key
from buildlog.keep import rows
from buildlog.keep.archive import DATABASE, FILES, SECRET_KEY, Archive, Damaged
from buildlog.keep.kept import kept_files
from buildlog.start.lock import is_served

PARTIAL = ".restoring"
FOLDERS = ("originals", "renditions")


class CannotRestore(Exception):
    """The sentence says why, and what to do."""


@dataclass(frozen=True)
class Report:
    files: int
    missing: list[str]


def restore(path: Path) -> Report:
    """Put rows and files of the archive in place. Raises `Damaged` or `CannotRestore`.

    Nothing is written before every byte of the archive has been checked and the folder found
    empty; the rows come last, so that what was broken off is no half-filled program.
    """
    _check_place()
    with Archive(path) as archive:
        archive.check()
        _check_version(archive)
        _check_room(archive)
        partial = settings.DATA_DIR / PARTIAL
        shutil.rmtree(partial, ignore_errors=True)
        partial.mkdir(parents=True, mode=0o700)
        try:
            return _restore_checked(archive, partial)
        finally:
            shutil.rmtree(partial, ignore_errors=True)


def check_archive(path: Path) -> Archive:
    """Check all of an archive, files against rows too, without giving anything back."""
    with Archive(path) as archive, tempfile.TemporaryDirectory() as folder:
        archive.check()
        snapshot = Path(folder) / DATABASE
        archive.write_to(DATABASE, snapshot)
        _names_spoken_of(archive, snapshot)
    return archive


def _restore_checked(archive: Archive, partial: Path) -> Report:
    snapshot = partial / DATABASE
    archive.write_to(DATABASE, snapshot)
    names = _names_spoken_of(archive, snapshot)
    _write_files(archive, names, partial)
    if archive.has(SECRET_KEY):
        archive.write_to(SECRET_KEY, partial / SECRET_KEY)
        (partial / SECRET_KEY).replace(settings.DATA_DIR / secret_key.NAME)
    _put_rows(snapshot)
    return Report(len(names), archive.manifest.missing)


def _check_place() -> None:
    if is_served(settings.DATA_DIR):
        raise CannotRestore(f"The program runs on {settings.DATA_DIR}. Stop it first.")
    if not rows.is_empty():
        raise CannotRestore(
            f"The database ({connection.settings_dict['NAME']}) is not empty, and a restore "
            "overwrites nothing. Set BUILDLOG_DATA to a new folder, or DATABASE_URL to a new "
            "database."
        )
    for folder in FOLDERS:
        if _has_files(folder):
            raise CannotRestore(
                f"There are files in {folder} of the storage, and a restore overwrites nothing. "
                "Set BUILDLOG_DATA to a new folder, or BUILDLOG_S3_BUCKET to an empty bucket."
            )


def _has_files(folder: str) -> bool:
    try:
        folders, files = default_storage.listdir(folder)
    except FileNotFoundError:
        return False
    return bool(files) or any(_has_files(f"{folder}/{name}") for name in folders)


def _check_version(archive: Archive) -> None:
    newer = set(archive.manifest.migrations) - rows.known_migrations()
    if newer:
        raise CannotRestore(
            f"It was made by a newer version ({archive.manifest.program}) of the program. "
            "Install that version, then restore."
        )


def _check_room(archive: Archive) -> None:
    settings.DATA_DIR.mkdir(parents=True, exist_ok=True, mode=0o700)
    free = shutil.disk_usage(settings.DATA_DIR).free
    if free < archive.size * 1.05:
        raise CannotRestore(
            f"It holds {archive.size / 1e6:.0f} MB, and there are only {free / 1e6:.0f} MB free "
            f"in {settings.DATA_DIR}."
        )


def _names_spoken_of(archive: Archive, snapshot: Path) -> list[str]:
    """The members that the rows speak of. Raises `Damaged` where one is another or lacking."""
    if faults := rows.faults_of(snapshot):
        raise Damaged(f"Its rows are damaged: {faults[0]}")
    if rows.count_rows(snapshot) != archive.manifest.rows:
        raise Damaged("It does not hold as many rows as were written.")
    manifest, names = archive.manifest, []
    with rows.second_database(snapshot) as database:
        if rows.known_migrations() - set(rows.applied_migrations(database)):
            call_command("migrate", database=database, interactive=False, verbosity=0)
        for kept in kept_files(database):
            name = FILES + kept.path
            if kept.path in manifest.missing:
                continue
            if not archive.has(name):
                raise Damaged(f"{kept.label} is missing from it.")
            if manifest.members[name]["sha256"] != kept.sha256 and (
                kept.path not in manifest.changed
            ):
                raise Damaged(f"{kept.label} in it is not what its rows speak of.")
            names.append(name)
    return names


def _write_files(archive: Archive, names: list[str], partial: Path) -> None:
    if not isinstance(default_storage, FileSystemStorage):
        for name in names:
            with archive.open(name) as member:
                default_storage.save(name.removeprefix(FILES), File(member))
        return
    for name in names:
        archive.write_to(name, partial / name)
    place = Path(default_storage.location)
    place.mkdir(parents=True, exist_ok=True, mode=0o700)
    for folder in FOLDERS:
        if (partial / FILES / folder).exists():
            shutil.rmtree(place / folder, ignore_errors=True)  # seen to hold no file
            shutil.move(partial / FILES / folder, place / folder)


def _put_rows(snapshot: Path) -> None:
    """Make the program's database hold the rows; on SQLite, be the very file."""
    if connection.vendor == "sqlite":
        connection.close()
        place = Path(connection.settings_dict["NAME"])
        for beside in ("-wal", "-shm"):
            place.with_name(place.name + beside).unlink(missing_ok=True)
        snapshot.replace(place)
        return
    call_command("migrate", interactive=False, verbosity=0)
    with rows.second_database(snapshot) as database:
        rows.copy_rows(database, DEFAULT_DB_ALIAS)
