"""Is the program well? One word for whoever watches it, and no details."""

from __future__ import annotations

import logging
import tempfile
from pathlib import Path

from django.contrib.auth.decorators import login_not_required
from django.core.files.storage import FileSystemStorage, default_storage
from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

logger = logging.getLogger(__name__)


@login_not_required
@require_safe
@never_cache
def healthz(request: HttpRequest) -> HttpResponse:
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
        try_storage()
    except Exception:  # whatever it is, the answer is the same and the log has the rest
        logger.exception("The program is not well.")
        return HttpResponse("not well", status=503, content_type="text/plain")
    return HttpResponse("well", content_type="text/plain")


def try_storage() -> None:
    """Raise if files could not be kept now."""
    if not isinstance(default_storage, FileSystemStorage):
        default_storage.exists("healthz")
        return
    folder = Path(default_storage.location)
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    with tempfile.TemporaryFile(dir=folder) as trial:
        trial.write(b"well")
        trial.flush()
