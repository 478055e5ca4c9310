"""Open a picture that somebody sent, carefully, and say what it shows of itself.

Everything here works on a file on this machine and knows no model. What cannot be trusted is
refused with a reason for people: damaged, moving, or too large to be opened safely.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import re
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pillow_heif
from django.conf import settings
from PIL import Image

from buildlog.files.errors import Refused
from buildlog.files.sniff import HEIC, JPEG, PNG, WEBP
from tasks.models.limits import FIRST_YEAR, LAST_YEAR

# Only the decoder that fits the content is ever started. MPO is a JPEG with more pictures
# behind it, as phones write for depth or brightness; its first picture is the photo.
DECODERS = {JPEG: ("JPEG", "MPO"), PNG: ("PNG",), WEBP: ("WEBP",), HEIC: ("HEIF",)}
PICTURE_TYPES = tuple(DECODERS)

ORIENTATION = 0x0112
EXIF_PART = 0x8769
TAKEN, TAKEN_OFFSET = 0x9003, 0x9011
DIGITISED, DIGITISED_OFFSET = 0x9004, 0x9012
SIDEWAYS = {5, 6, 7, 8}

pillow_heif.register_heif_opener(thumbnails=False, depth_images=False, aux_images=False)
Image.MAX_IMAGE_PIXELS = settings.PHOTO_MAX_PIXELS
warnings.filterwarnings("error", category=Image.DecompressionBombWarning)


@dataclass(frozen=True)
class Facts:
    """A picture's size as it stands upright, and the camera's time: aware if it knew its offset."""

    width: int
    height: int
    taken: dt.datetime | None


@contextlib.contextmanager
def opened(path: Path, mime: str) -> Iterator[Image.Image]:
    """The picture, its header read, its pixels not yet. Raises `Refused` for what it cannot be."""
    file = path.open("rb")  # a file that is not there is no damaged picture
    try:
        with file, Image.open(file, formats=DECODERS[mime]) as image:
            if image.width * image.height > settings.PHOTO_MAX_PIXELS:
                raise Refused(_too_many_pixels())
            yield image
    except (Refused, MemoryError):
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise Refused(_too_many_pixels()) from None
    except Exception as error:
        # Decoders raise almost anything on bytes made to hurt them; all of it means the same.
        raise Refused(
            "It is damaged, or was cut short on its way, and cannot be opened. "
            "Send it again from where it was taken."
        ) from error


def look_at(path: Path, mime: str) -> Facts:
    """Decode a picture once to be sure of it, and read its facts. Raises `Refused`."""
    with opened(path, mime) as image:
        if getattr(image, "n_frames", 1) > 1 and image.format in ("PNG", "WEBP"):
            raise Refused("It is a moving picture. Send a still one.")
        size = image.size
        # Going through a JPEG at an eighth of its size meets every damaged byte all the same.
        image.draft(None, (max(1, size[0] // 8), max(1, size[1] // 8)))
        image.load()
        exif = image.getexif()
        width, height = reversed(size) if exif.get(ORIENTATION) in SIDEWAYS else size
        return Facts(width, height, time_taken(exif))


def time_taken(exif: Image.Exif) -> dt.datetime | None:
    """When the camera says that it took the picture; naive where it did not write its offset."""
    part = exif.get_ifd(EXIF_PART)
    for moment, offset in ((TAKEN, TAKEN_OFFSET), (DIGITISED, DIGITISED_OFFSET)):
        if taken := read_time(part.get(moment), part.get(offset)):
            return taken
    return None


def read_time(moment: object, offset: object = None) -> dt.datetime | None:
    """A moment and an offset from UTC as Exif 2.32 writes them; None for what is not one.

    >>> read_time("2026:02:03 14:05:06", "+01:00").isoformat()
    '2026-02-03T14:05:06+01:00'
    >>> read_time("0000:00:00 00:00:00") is None
    True
    """
    numbers = re.fullmatch(
        r"(\d{4})[:-](\d\d)[:-](\d\d)[ T](\d\d):(\d\d):(\d\d)(?:\.\d+)?", _text(moment)
    )
    if not numbers or not FIRST_YEAR <= int(numbers[1]) <= LAST_YEAR:
        return None
    try:
        year, month, day, hour, minute, second = map(int, numbers.groups())
        taken = dt.datetime(year, month, day, hour, minute, second)  # noqa: DTZ001  no zone yet
    except ValueError:
        return None
    return taken.replace(tzinfo=_read_offset(_text(offset)))


def _read_offset(text: str) -> dt.timezone | None:
    if text == "Z":
        return dt.UTC
    parts = re.fullmatch(r"([+-])(\d\d):([0-5]\d)", text)
    if not parts or int(parts[2]) > 14:
        return None
    ahead = dt.timedelta(hours=int(parts[2]), minutes=int(parts[3]))
    return dt.timezone(ahead if parts[1] == "+" else -ahead)


def _text(value: object) -> str:
    if isinstance(value, bytes):
        value = value.decode("ascii", errors="replace")
    return value.strip(" \0") if isinstance(value, str) else ""


def _too_many_pixels() -> str:
    most = settings.PHOTO_MAX_PIXELS / 1_000_000
    return (
        f"It has more than {most:g} million pixels, the most that is opened. Send a smaller copy."
    )
