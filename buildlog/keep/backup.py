"""Make one archive of everything, while the program runs."""

from __future__ import annotations

import datetime as dt
import tempfile
from dataclasses import dataclass, field
from pathlib import Path

from django.conf import settings
from django.core.files.storage import default_storage
from django.db import connection

import buildlog
from buildlog import secret_key
from buildlog.keep import archive, rows
from buildlog.keep.kept import Kept, chunks, kept_files, measure

ROUNDS = 4


class CannotBackUp(Exception):
    """The sentence says why, and what to do."""


@dataclass
class Report:
    path: Path
    files: int = 0
    rows: int = 0
    missing: list[Kept] = field(default_factory=list)
    changed: list[Kept] = field(default_factory=list)

    @property
    def whole(self) -> bool:
        return not self.missing and not self.changed

    @property
    def sha256(self) -> str:
        with self.path.open("rb") as file:
            return measure(file)[1]


def default_path(now: dt.datetime) -> Path:
    return settings.DATA_DIR / "backups" / f"buildlog-{now:%Y-%m-%d-%H%M%S}.zip"


def back_up(target: Path, now: dt.datetime) -> Report:
    """Write all rows and files to a new archive, as they are at one moment.

    Files are never changed, only added and removed, so they are copied after the rows. One that
    was removed in between is no longer spoken of by newer rows: then those are taken instead.
    What is missing or changed in the storage is put on the report, and the rest is kept.
    """
    if target.exists():
        raise CannotBackUp(f"{target} is there already, and a backup overwrites nothing.")
    target.parent.mkdir(parents=True, exist_ok=True)
    report = Report(target)
    with (
        tempfile.TemporaryDirectory(dir=target.parent, prefix=".backup-") as folder,
        archive.Writer(target) as writer,
    ):
        snapshot = _copy_until_whole(Path(folder), writer, report)
        with snapshot.open("rb") as file:
            writer.add(archive.DATABASE, chunks(file), pack=True)
        own_key = settings.DATA_DIR / secret_key.NAME
        if own_key.exists():
            writer.add(archive.SECRET_KEY, [own_key.read_bytes()])
        writer.finish(_manifest(snapshot, report, now))
    return report


def _copy_until_whole(folder: Path, writer: archive.Writer, report: Report) -> Path:
    missing: list[Kept] = []
    for number in range(ROUNDS):
        snapshot = folder / f"rows-{number}.sqlite3"
        rows.take_snapshot(snapshot)
        before, missing = missing, []
        with rows.second_database(snapshot) as database:
            for kept in kept_files(database):
                if f"{archive.FILES}{kept.path}" not in writer.members and not _copy(
                    kept, writer, report
                ):
                    missing.append(kept)
        if not missing or missing == before:
            break
    report.missing = missing
    report.files = len(writer.members)
    return snapshot


def _copy(kept: Kept, writer: archive.Writer, report: Report) -> bool:
    try:
        file = default_storage.open(kept.path, "rb")
    except FileNotFoundError:
        return False
    with file:
        found = writer.add(f"{archive.FILES}{kept.path}", chunks(file))
    if found != kept.sha256:
        report.changed.append(kept)
    return True


def _manifest(snapshot: Path, report: Report, now: dt.datetime) -> archive.Manifest:
    with rows.second_database(snapshot) as database:
        migrations = rows.applied_migrations(database)
    counted = rows.count_rows(snapshot)
    report.rows = sum(counted.values())
    return archive.Manifest(
        program=buildlog.__version__,
        made_at=now.isoformat(),
        engine=connection.vendor,
        migrations=migrations,
        rows=counted,
        missing=[kept.path for kept in report.missing],
        changed=[kept.path for kept in report.changed],
    )
