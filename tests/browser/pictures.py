"""Small photos for the browser tests, another one for each seed."""

from __future__ import annotations

import io
import zlib

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image


def jpeg(seed: str, width: int = 640, height: int = 480) -> bytes:
    """A gradient that a seed colours."""
    number = zlib.crc32(seed.encode())
    ramp = Image.linear_gradient("L").resize((width, height))
    flat = [Image.new("L", (width, height), number >> shift & 255) for shift in (0, 8)]
    buffer = io.BytesIO()
    Image.merge("RGB", (ramp, *flat)).save(buffer, "JPEG", comment=seed)
    return buffer.getvalue()


def a_photo(name: str, seed: str) -> SimpleUploadedFile:
    return SimpleUploadedFile(name, jpeg(seed), content_type="image/jpeg")
