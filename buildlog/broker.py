"""The embedded message broker: a SQLite file of its own, so that no server is needed."""

from __future__ import annotations

import sqlite3
import sys

from celery import Celery
from celery.signals import worker_process_init
from django.conf import settings
from kombu.transport import TRANSPORT_ALIASES

TRANSPORT = "buildlog.transport"


def prepare() -> None:
    """Have addresses that begin with `sqla` served by our transport."""
    TRANSPORT_ALIASES["sqla"] = f"{TRANSPORT}:Transport"


@worker_process_init.connect
def let_go_of_connections(**kwargs: object) -> None:
    if TRANSPORT in sys.modules:
        sys.modules[TRANSPORT].let_go_of_connections()


def make_tables(app: Celery) -> None:
    """Make the broker's tables, before two processes try to at once."""
    from buildlog.transport import make_tables

    with app.connection_for_write() as connection:
        make_tables(connection)


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
