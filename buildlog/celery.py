"""The background worker's side of the program.

A message only wakes the worker; what is to be done, and what became of it, is a row of
`buildlog.background.Job`. So a broker that forgets loses nothing.
"""

from __future__ import annotations

import os
import warnings

from celery import Celery
from celery.platforms import SecurityWarning
from celery.signals import beat_embedded_init, worker_init, worker_process_init
from django.conf import settings

from buildlog.start.lifeline import hold_on

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "buildlog.settings")

# It warns of root because a message could carry code (pickle). Ours are JSON and carry nothing.
warnings.filterwarnings("ignore", category=SecurityWarning)

app = Celery("buildlog")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(related_name="jobs")


@worker_init.connect
@worker_process_init.connect
@beat_embedded_init.connect
def end_with_serve(**kwargs: object) -> None:
    """Worker, its processes and beat: none outlives the `serve` that started it."""
    hold_on()


if settings.EMBEDDED_BROKER:
    from buildlog import broker

    broker.prepare()
