"""Hand an original to a person who may have it, so that it can do no harm in their browser."""

from __future__ import annotations

from django.http import FileResponse

from buildlog.files.models import StoredFile
from buildlog.files.store import open_original


def send_original(stored: StoredFile) -> FileResponse:
    """The untouched file, to be saved and never shown as a page of this site.

    The caller has checked that the person is crew and may see it: an original still carries
    everything its camera wrote, places included.
    """
    response = FileResponse(
        open_original(stored), as_attachment=True, filename=stored.name, content_type=stored.mime
    )
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Security-Policy"] = "sandbox; default-src 'none'"
    response["Cache-Control"] = "private, no-store"
    response["Content-Length"] = str(stored.size)
    return response
