"""Combinations of settings that cannot work, found before somebody loses by them."""

from __future__ import annotations

import os
import urllib.parse
from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, Warning, register

OURS = "buildlog"
BROKERS = ("sqla+sqlite", "redis", "rediss", "amqp", "amqps", "memory")


@register(OURS)
def check_database(**kwargs: Any) -> list[CheckMessage]:
    engine = settings.DATABASES["default"]["ENGINE"]
    if engine in ("django.db.backends.sqlite3", "django.db.backends.postgresql"):
        return []
    return [
        Error(
            f"DATABASE_URL names a database that this program is not tested with ({engine}).",
            hint="Use postgres://…, or leave it out for SQLite in the data folder.",
            id="buildlog.E001",
        )
    ]


@register(OURS)
def check_broker(**kwargs: Any) -> list[CheckMessage]:
    scheme = urllib.parse.urlsplit(settings.CELERY_BROKER_URL).scheme
    if scheme in BROKERS:
        return []
    return [
        Error(
            f"BUILDLOG_BROKER_URL begins with “{scheme}”, which the worker does not know.",
            hint="Use redis://… or amqp://…, or leave it out for the embedded one.",
            id="buildlog.E002",
        )
    ]


@register(OURS)
def check_data_folder(**kwargs: Any) -> list[CheckMessage]:
    odd = sorted(set("?#%") & set(str(settings.DATA_DIR)))
    found: list[CheckMessage] = []
    if settings.EMBEDDED_BROKER and odd:
        found.append(
            Error(
                f"The data folder {settings.DATA_DIR} has a “{odd[0]}” in its name, which the "
                "address of the embedded broker cannot carry.",
                hint="Choose another folder by BUILDLOG_DATA.",
                id="buildlog.E003",
            )
        )
    if settings.DATA_DIR.exists() and not os.access(settings.DATA_DIR, os.W_OK):
        found.append(
            Error(
                f"The data folder {settings.DATA_DIR} cannot be written to.",
                hint="Give it to the user that runs the program, or set BUILDLOG_DATA.",
                id="buildlog.E004",
            )
        )
    return found


@register(OURS)
def check_file_store(**kwargs: Any) -> list[CheckMessage]:
    given = {name for name in ("endpoint_url", "region_name", "access_key", "secret_key")
             if settings.S3[name]}  # fmt: skip
    if given and not settings.S3["bucket_name"]:
        return [
            Error(
                "An S3 setting is given, but no BUILDLOG_S3_BUCKET: files would go to the folder.",
                hint="Name the bucket, or take the other BUILDLOG_S3_ settings away.",
                id="buildlog.E005",
            )
        ]
    if len(given & {"access_key", "secret_key"}) == 1:
        return [
            Error(
                "Of BUILDLOG_S3_KEY and BUILDLOG_S3_SECRET only one is given.",
                hint="Give both, or neither to use the machine's own role.",
                id="buildlog.E006",
            )
        ]
    return []


@register(Tags.security, deploy=True)
def check_names(**kwargs: Any) -> list[CheckMessage]:
    if settings.HTTPS and set(settings.ALLOWED_HOSTS) <= {"127.0.0.1", "localhost"}:
        return [
            Warning(
                "BUILDLOG_HTTPS is on, but the site answers only to this machine's own name.",
                hint="Set BUILDLOG_HOSTS to the name that people type.",
                id="buildlog.W001",
            )
        ]
    return []
