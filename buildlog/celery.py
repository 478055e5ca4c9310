"""The background worker's side of the program.

A message only wakes the worker; what is to be done, and what became of it, is a row of
`buildlog.background.Job`. So a broker that forgets loses nothing.
"""

from __future__ import annotations

import os

from celery import Celery
from django.conf import settings

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "buildlog.settings")

app = Celery("buildlog")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(related_name="jobs")

if settings.EMBEDDED_BROKER:
    from buildlog import broker

    broker.prepare()
