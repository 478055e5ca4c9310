"""The embedded broker: quick, written ahead, and rid of what was delivered."""

from __future__ import annotations

import contextlib
import sqlite3

import pytest
from celery import Celery

from buildlog import broker


@pytest.fixture
def app(tmp_path, settings, monkeypatch):
    monkeypatch.setitem(broker.TRANSPORT_ALIASES, "sqla", broker.TRANSPORT_ALIASES["sqla"])
    settings.EMBEDDED_BROKER = True
    settings.CELERY_BROKER_URL = f"sqla+sqlite:///{tmp_path / 'a boat' / 'broker.sqlite3'}"
    (tmp_path / "a boat").mkdir()
    broker.prepare()
    made = Celery("test", broker=settings.CELERY_BROKER_URL, set_as_current=False)
    yield made
    from buildlog.transport import Channel

    for engine, _ in Channel._engines.values():
        engine.dispose()
    Channel._engines.clear()


@pytest.fixture
def rows(tmp_path):
    def ask(question: str) -> list[tuple]:
        path = tmp_path / "a boat" / "broker.sqlite3"
        with contextlib.closing(sqlite3.connect(path)) as database:
            return database.execute(question).fetchall()

    return ask


@pytest.mark.filterwarnings("ignore:The ``noload``")  # kombu's own use of SQLAlchemy
def test_a_message_goes_through_and_its_row_is_thrown_away(app, rows):
    assert broker.throw_delivered_messages_away() == 0  # there is no table yet
    broker.make_tables(app)
    assert rows("PRAGMA journal_mode") == [("wal",)]
    assert rows("SELECT count(*) FROM kombu_message") == [(0,)]
    with app.connection_for_write() as connection:
        assert connection.transport.polling_interval == 0.1
        queue = connection.SimpleQueue("test")
        queue.put({"number": 1})
        queue.put({"number": 2})
        assert queue.get(timeout=5).payload == {"number": 1}
        assert broker.throw_delivered_messages_away() == 1
        assert rows("SELECT count(*) FROM kombu_message") == [(1,)]
        assert queue.get(timeout=5).payload == {"number": 2}
        queue.close()


def test_it_leaves_a_server_alone(settings):
    settings.EMBEDDED_BROKER = False
    assert broker.throw_delivered_messages_away() == 0
