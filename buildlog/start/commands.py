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
    """The worker, without beat: `serve` stands in for it, since a beat that died stays dead.

    On the embedded broker its jobs run in threads: celery's processes then share one lock, and
    one that is killed while it holds it leaves the others waiting for ever.
    """
    return [
        sys.executable, "-m", "celery", "--quiet", "--skip-checks", "--app", "buildlog",
        "worker",
        "--pool", "threads" if settings.EMBEDDED_BROKER else "prefork",
        "--without-gossip", "--without-mingle", "--without-heartbeat",
        "--loglevel", settings.LOG_LEVEL,
    ]  # fmt: skip
