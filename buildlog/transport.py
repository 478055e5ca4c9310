"""celery's SQL transport, fitted to a SQLite file. Loaded when the first message is sent."""

from __future__ import annotations

from typing import Any

from kombu.transport import sqlalchemy as sql
from sqlalchemy import Engine, event


class Channel(sql.Channel):
    _engines: dict[str, Any] = {}

    def _engine_from_config(self) -> Engine:
        engine: Engine = super()._engine_from_config()
        event.listen(engine, "connect", write_ahead)
        return engine


class Transport(sql.Transport):
    Channel = Channel
    # As an option the transport would hand it on to the database driver, which refuses it.
    polling_interval = 0.1


def write_ahead(connection: Any, record: Any) -> None:
    """Let the web server put a message in while the worker takes one out."""
    connection.execute("PRAGMA busy_timeout=20000")
    connection.execute("PRAGMA journal_mode=WAL")
    connection.execute("PRAGMA synchronous=NORMAL")


def make_tables(connection: Any) -> None:
    """Make the broker's tables. Two processes that do so at once get in each other's way."""
    connection.default_channel._open()


def let_go_of_connections(**kwargs: Any) -> None:
    """A SQLite connection must not be carried across a fork."""
    Channel._engines.clear()
