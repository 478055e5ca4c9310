from __future__ import annotations

import pytest
from django.db import DatabaseError

from buildlog.start import health

pytestmark = pytest.mark.django_db


def test_it_says_one_word_to_anybody(client, settings):
    answer = client.get("/healthz")
    assert (answer.status_code, answer.content) == (200, b"well")
    assert "no-store" in answer["Cache-Control"]
    assert list(settings.MEDIA_ROOT.iterdir()) == []


def test_it_gives_no_details_of_a_database_that_fails(client, monkeypatch, caplog):
    def fail():
        raise DatabaseError("password is hunter2")

    monkeypatch.setattr(health.connection, "cursor", fail)
    answer = client.get("/healthz")
    assert (answer.status_code, answer.content) == (503, b"not well")
    assert "hunter2" in caplog.text


def test_it_notices_that_files_cannot_be_kept(client, settings, caplog):
    settings.MEDIA_ROOT.write_text("a file where the folder should be")
    assert client.get("/healthz").status_code == 503


def test_it_is_not_led_to_https(client, settings):
    settings.SECURE_SSL_REDIRECT = True
    settings.SECURE_REDIRECT_EXEMPT = [r"^healthz$"]
    assert client.get("/healthz").status_code == 200
