"""Send a rendition. Whether the person may see it was checked by whoever calls."""

from __future__ import annotations

from django.core.files.storage import default_storage
from django.http import FileResponse, Http404

from buildlog.journal.models import Photo, Rendition

# A rendition's address names its content, so what lies there never changes.
FOR_LONG = "private, max-age=31536000, immutable"


def serve_rendition(photo: Photo, long_side: int, cache: str = FOR_LONG) -> FileResponse:
    """The copy of a photo at that size. Raises Http404 where it is not made.

    `cache` is what goes into Cache-Control: give something short where a photo can be taken back.
    """
    for rendition in photo.renditions.all():
        if rendition.long_side == long_side:
            return send(rendition, cache)
    raise Http404("This size of the photo is not made yet.")


def send(rendition: Rendition, cache: str = FOR_LONG) -> FileResponse:
    try:
        file = default_storage.open(rendition.path, "rb")
    except FileNotFoundError:
        raise Http404("This size of the photo is not in its place.") from None
    response = FileResponse(file, content_type="image/webp")
    response["Content-Length"] = str(rendition.size)
    response["Cache-Control"] = cache
    response["ETag"] = f'"{rendition.sha256}"'
    response["Content-Security-Policy"] = "sandbox; default-src 'none'"
    response["Content-Disposition"] = "inline"
    return response
