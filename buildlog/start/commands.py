"""The command lines of the two programs that `serve` keeps running."""

from __future__ import annotations

import sys

from django.conf import settings


def web_server(host: str, port: int) -> list[str]:
    return [
        sys.executable, "-m", "granian", "buildlog.wsgi:application",
        "--interface", "wsgi",
        "--host", host,
        "--port", str(port),
        "--workers", str(settings.WEB_WORKERS),
        "--blocking-threads", str(settings.WEB_THREADS),
        "--respawn-failed-workers",
        "--respawn-interval", "0.5",
        "--workers-kill-timeout", "5",
        "--no-ws",
        "--log-level", settings.LOG_LEVEL.lower(),
    ]  # fmt: skip


def background_worker() -> list[str]:
    return [
        sys.executable, "-m", "celery", "--quiet", "--skip-checks", "--app", "buildlog",
        "worker",
        "--beat",
        # In memory: what is due follows from the rows, so nothing need be remembered.
        "--scheduler", "celery.beat:Scheduler",
        "--without-gossip", "--without-mingle", "--without-heartbeat",
        "--loglevel", settings.LOG_LEVEL,
    ]  # fmt: skip
