"""The background worker's side of the program.

A message only wakes the worker; what is to be done, and what became of it, is a row of
`buildlog.background.Job`. So a broker that forgets loses nothing.
"""

from __future__ import annotations

import os
import sqlite3
from typing import Any

from celery import Celery
from celery.signals import worker_process_init
from django.conf import settings
from kombu.transport.sqlalchemy import Channel, Transport
from sqlalchemy import event
from sqlalchemy.engine import Engine

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "buildlog.settings")

app = Celery("buildlog")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(related_name="jobs")

# The transport takes no such option: it would hand it on to the database driver.
Transport.polling_interval = 0.1


@event.listens_for(Engine, "connect")
def write_ahead(connection: Any, record: Any) -> None:
    """Let the web server put a message in while the worker takes one out."""
    if isinstance(connection, sqlite3.Connection):
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("PRAGMA synchronous=NORMAL")
        connection.execute("PRAGMA busy_timeout=20000")


@worker_process_init.connect
def forget_the_parents_connections(**kwargs: Any) -> None:
    """A SQLite connection must not be carried across a fork."""
    Channel._engines.clear()


def throw_delivered_messages_away() -> int:
    """Delete what the SQLite broker has handed out; it keeps such rows for ever."""
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
