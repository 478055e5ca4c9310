"""All rows as one SQLite file, and back: the form in which a backup holds them.

From SQLite it is a copy by SQLite's own backup of a running database. From PostgreSQL the rows
are read in one repeatable-read transaction and written to a new SQLite file with the same
tables, so that an archive of either can be given back to either.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from django.apps import apps
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import (
    DEFAULT_DB_ALIAS,
    DatabaseError,
    connection,
    connections,
    models,
    transaction,
)
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder
from django.db.utils import load_backend

BATCH = 500


def take_snapshot(path: Path) -> None:
    """Write all rows, as they are at one moment, to a new SQLite file."""
    if connection.in_atomic_block:  # SQLite would wait for ever for its own transaction to end
        raise RuntimeError("A snapshot cannot be taken within a transaction.")
    if connection.vendor == "sqlite":
        _copy_sqlite(path)
        return
    with second_database(path) as snapshot:
        call_command("migrate", database=snapshot, interactive=False, verbosity=0)
        with one_moment():
            copy_rows(DEFAULT_DB_ALIAS, snapshot)


def _copy_sqlite(path: Path) -> None:
    connection.ensure_connection()
    with closing(sqlite3.connect(path)) as target:
        connection.connection.backup(target)
        # One file, whole in itself: a copy of it needs no second one beside it.
        target.execute("PRAGMA journal_mode=DELETE")


@contextmanager
def one_moment() -> Iterator[None]:
    """A transaction in which PostgreSQL shows all rows as they are at its begin."""
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
        yield


@contextmanager
def second_database(path: Path) -> Iterator[str]:
    """The name by which Django knows a SQLite file beside the program's own database."""
    name = "archive"
    own = {"ENGINE": "django.db.backends.sqlite3", "NAME": str(path)}
    configured = connections.configure_settings({DEFAULT_DB_ALIAS: own})[DEFAULT_DB_ALIAS]
    connections[name] = load_backend(own["ENGINE"]).DatabaseWrapper(configured, name)
    try:
        yield name
    finally:
        connections[name].close()
        del connections[name]


def all_models() -> list[type[models.Model]]:
    """Every model that has a table, those between two others as well."""
    found = apps.get_models(include_auto_created=True)
    return [model for model in found if model._meta.managed and not model._meta.proxy]


def copy_rows(source: str, target: str) -> None:
    """Make the tables of `target` hold exactly the rows of `source`."""
    with transaction.atomic(using=target):
        for model in all_models():  # what `migrate` itself puts into new tables
            model._base_manager.using(target)._raw_delete(target)
        for model in all_models():
            _copy_table(model, source, target)
    _reset_sequences(target)


def _copy_table(model: type[models.Model], source: str, target: str) -> None:
    fields = [field for field in model._meta.local_concrete_fields if not field.generated]
    size = max(1, connections[target].ops.bulk_batch_size(fields, [None] * BATCH))
    rows = model._base_manager.using(source).order_by("pk").iterator(2000)
    while batch := list(_first(rows, min(size, BATCH))):
        # Raw: values as they are; a date of making must not become today's.
        table: Any = model._base_manager.using(target)
        table._insert(batch, fields=fields, using=target, raw=True)


def _first(rows: Iterator[Any], count: int) -> Iterator[Any]:
    for _, row in zip(range(count), rows, strict=False):
        yield row


def _reset_sequences(target: str) -> None:
    statements = connections[target].ops.sequence_reset_sql(no_style(), all_models())
    with connections[target].cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def applied_migrations(database: str = DEFAULT_DB_ALIAS) -> list[str]:
    """The migrations that a database has seen, as “app.name”."""
    applied = MigrationRecorder(connections[database]).applied_migrations()
    return sorted(f"{app}.{name}" for app, name in applied)


def known_migrations() -> set[str]:
    """The migrations that this version of the program has."""
    graph = MigrationExecutor(connection).loader.graph
    return {f"{app}.{name}" for app, name in graph.nodes}


def is_empty() -> bool:
    """Is there nothing in the program's database that could be lost?"""
    from buildlog.files.models import StoredFile
    from tasks.models import Build, Person

    tables = set(connection.introspection.table_names())
    kept: list[type[models.Model]] = [Person, Build, StoredFile]
    return not any(
        model._meta.db_table in tables and model._base_manager.exists() for model in kept
    )


def count_rows(path: Path) -> dict[str, int]:
    """How many rows each table of a SQLite file has."""
    with closing(sqlite3.connect(path)) as database:
        names = database.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
        ).fetchall()
        return {
            name: database.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0]  # noqa: S608
            for (name,) in sorted(names)
        }


def faults(database: Any) -> list[str]:
    """What SQLite itself finds wrong with rows. Takes a cursor, Django's or SQLite's own."""
    try:
        said = [row[0] for row in _ask(database, "PRAGMA integrity_check")]
        broken = _ask(database, "PRAGMA foreign_key_check")
    except (sqlite3.DatabaseError, DatabaseError) as reason:
        return [str(reason)]
    found = [] if said == ["ok"] else said
    return found + [f"{row[0]} row {row[1]} refers to a {row[2]} that is none" for row in broken]


def _ask(database: Any, question: str) -> list[tuple[Any, ...]]:
    database.execute(question)
    answer: list[tuple[Any, ...]] = database.fetchall()
    return answer


def faults_of(path: Path) -> list[str]:
    """What is wrong with a SQLite file of rows."""
    with closing(sqlite3.connect(path)) as database, closing(database.cursor()) as cursor:
        return faults(cursor)
