"""Settings that cannot work together are found by `check`, with a hint."""

from __future__ import annotations

import pytest

from buildlog.start import checks


def ids(found) -> list[str]:
    assert all(message.hint for message in found)
    return [message.id for message in found]


def test_the_defaults_are_fine():
    for check in (checks.check_database, checks.check_broker, checks.check_data_folder):
        assert check() == []
    assert checks.check_file_store() == []
    assert checks.check_names() == []


def test_other_databases_are_refused(settings, monkeypatch):
    monkeypatch.setitem(settings.DATABASES["default"], "ENGINE", "django.db.backends.mysql")
    assert ids(checks.check_database()) == ["buildlog.E001"]


@pytest.mark.parametrize(
    ("url", "fine"),
    [("redis://h/0", True), ("amqp://h//", True), ("kafka://h", False), ("redis", False)],
)
def test_the_broker_must_be_one_that_the_worker_knows(settings, url, fine):
    settings.CELERY_BROKER_URL = url
    assert ids(checks.check_broker()) == ([] if fine else ["buildlog.E002"])


def test_the_data_folder_must_fit_the_brokers_address(settings, tmp_path):
    settings.DATA_DIR = tmp_path / "boat #2"
    settings.EMBEDDED_BROKER = True
    assert ids(checks.check_data_folder()) == ["buildlog.E003"]
    settings.EMBEDDED_BROKER = False
    assert checks.check_data_folder() == []


def test_the_data_folder_must_be_writable(settings, tmp_path, monkeypatch):
    settings.DATA_DIR = tmp_path
    monkeypatch.setattr(checks.os, "access", lambda path, mode: False)
    assert ids(checks.check_data_folder()) == ["buildlog.E004"]


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ({"bucket_name": "b"}, []),
        ({"bucket_name": "b", "access_key": "k", "secret_key": "s"}, []),
        ({"access_key": "k", "secret_key": "s"}, ["buildlog.E005"]),
        ({"endpoint_url": "http://h"}, ["buildlog.E005"]),
        ({"bucket_name": "b", "access_key": "k"}, ["buildlog.E006"]),
    ],
)
def test_the_file_store_must_be_whole(settings, given, expected):
    settings.S3 = dict.fromkeys(settings.S3) | given
    assert ids(checks.check_file_store()) == expected


def test_https_needs_a_name(settings):
    settings.HTTPS = True
    settings.ALLOWED_HOSTS = ["127.0.0.1", "localhost"]
    assert ids(checks.check_names()) == ["buildlog.W001"]
    settings.ALLOWED_HOSTS = ["boat.example"]
    assert checks.check_names() == []
