"""The embedded message broker: a SQLite file of its own, so that no server is needed."""

from __future__ import annotations

import sqlite3
from typing import Any

from celery import Celery
from celery.signals import worker_process_init
from django.conf import settings


def prepare() -> None:
    """Fit celery's SQL transport to SQLite. Called once, before the first connection."""
    from kombu.transport.sqlalchemy import Transport
    from sqlalchemy import event
    from sqlalchemy.engine import Engine

    # The transport takes no such option: it would hand it on to the database driver.
    Transport.polling_interval = 0.1
    event.listen(Engine, "connect", write_ahead)
    worker_process_init.connect(forget_the_parents_connections)


def write_ahead(connection: Any, record: Any) -> None:
    """Let the web server put a message in while the worker takes one out."""
    if isinstance(connection, sqlite3.Connection):
        connection.execute("PRAGMA busy_timeout=20000")
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("PRAGMA synchronous=NORMAL")


def forget_the_parents_connections(**kwargs: Any) -> None:
    """A SQLite connection must not be carried across a fork."""
    from kombu.transport.sqlalchemy import Channel

    Channel._engines.clear()


def throw_delivered_messages_away() -> int:
    """Delete what the broker has handed out; it keeps such rows for ever."""
    if not settings.EMBEDDED_BROKER:
        return 0
    path = settings.CELERY_BROKER_URL.removeprefix("sqla+sqlite:///")
    broker = sqlite3.connect(path, timeout=20)
    try:
        with broker:
            return broker.execute("DELETE FROM kombu_message WHERE visible = 0").rowcount
    except sqlite3.OperationalError:  # no message was ever sent: there is no table yet
        return 0
    finally:
        broker.close()


def make_tables(app: Celery) -> None:
    """Make the broker's tables. Two processes that do so at once get in each other's way."""
    from kombu.transport.sqlalchemy import Channel

    with app.connection_for_write() as connection:
        connection.default_channel._open()
    for engine, _ in Channel._engines.values():
        engine.dispose()
    Channel._engines.clear()
