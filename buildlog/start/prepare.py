"""What must be there before the program can serve: folder, tables, static files, broker."""

from __future__ import annotations

import datetime as dt
import hashlib
import os
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from buildlog.keep import rows

# Files of the next major htmx that django-htmx ships beside ours; the names inside them lead
# nowhere, which the manifest rightly refuses.
NOT_OURS = ["hx-*-2.js"]


def prepare_folder(folder: Path) -> None:
    """Make the data folder, for its owner's eyes only."""
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    if folder.stat().st_uid == os.getuid():
        folder.chmod(0o700)


def migrations_to_run() -> list[str]:
    """The migrations that the database has not seen yet."""
    executor = MigrationExecutor(connection)
    plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
    return [f"{migration.app_label}.{migration.name}" for migration, _ in plan]


def prepare_database(now: dt.datetime) -> Path | None:
    """Bring the tables up to date. Gives the copy of the rows made before, if there was need."""
    if not migrations_to_run():
        return None
    kept = copy_rows_before_update(now)
    call_command("migrate", interactive=False, verbosity=0)
    return kept


def copy_rows_before_update(now: dt.datetime) -> Path | None:
    """A copy to go back to, where there are rows: on SQLite it costs next to nothing."""
    if connection.vendor != "sqlite" or rows.is_empty():
        return None
    folder = settings.DATA_DIR / "backups"
    folder.mkdir(exist_ok=True, mode=0o700)
    kept = folder / f"before-update-{now:%Y-%m-%d-%H%M%S}.sqlite3"
    rows.take_snapshot(kept)
    kept.chmod(0o600)
    return kept


def prepare_static_files() -> None:
    """Collect the static files, unless those collected last are the same."""
    if settings.DEBUG:
        return
    stamp = Path(settings.STATIC_ROOT) / ".collected"
    now = _fingerprint()
    if stamp.exists() and stamp.read_text() == now:
        return
    call_command(
        "collectstatic", interactive=False, verbosity=0, clear=True, ignore_patterns=NOT_OURS
    )
    stamp.write_text(now)


def _fingerprint() -> str:
    found = []
    for finder in get_finders():
        for path, storage in finder.list(ignore_patterns=NOT_OURS):
            full = storage.path(path)
            found.append(f"{full} {os.stat(full).st_mtime_ns} {os.stat(full).st_size}")
    return hashlib.sha256("\n".join(sorted(found)).encode()).hexdigest()


def prepare_broker() -> None:
    """Make the embedded broker's tables, before two processes try to at once."""
    if settings.EMBEDDED_BROKER:
        from buildlog import broker
        from buildlog.celery import app

        broker.make_tables(app)
