"""Make the upright copies of a picture that pages show. They hold pixels and nothing else."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageCms, ImageOps

from buildlog.journal.picture import ORIENTATION, opened

LONG_SIDES = (1600, 800, 320)
QUALITY = 80
EFFORT = 2  # more of it costs time and saves little on photos

SRGB = ImageCms.createProfile("sRGB")


@dataclass(frozen=True)
class Made:
    long_side: int
    width: int
    height: int
    data: bytes
    sha256: str


def make_renditions(
    path: Path, mime: str, turned: int = 0, long_sides: Sequence[int] = LONG_SIDES
) -> Iterator[Made]:
    """WebP copies, the largest first, each with its long side at most `long_side` pixels.

    Stands the picture upright by its own orientation, then `turned` quarter turns clockwise;
    converts its colours to sRGB; never enlarges. Raises `buildlog.files.Refused` for a picture
    that cannot be decoded.
    """
    with opened(path, mime) as image:
        image.draft(None, fitting(image.size, long_sides[0]))
        copy = bare_copy(image, long_sides[0])
    if turned % 4:
        copy = copy.rotate(-90 * turned, expand=True)
    for long_side in long_sides:
        if max(copy.size) > long_side:
            copy = copy.resize(fitting(copy.size, long_side), Image.Resampling.LANCZOS)
        buffer = io.BytesIO()
        copy.save(buffer, "WEBP", quality=QUALITY, method=EFFORT)
        data = buffer.getvalue()
        yield Made(long_side, *copy.size, data, hashlib.sha256(data).hexdigest())


def fitting(size: tuple[int, int], long_side: int) -> tuple[int, int]:
    """The size of the same shape whose long side is `long_side`.

    >>> fitting((4000, 3000), 1600)
    (1600, 1200)
    >>> fitting((3, 9000), 320)
    (1, 320)
    """
    scale = long_side / max(size)
    return max(1, round(size[0] * scale)), max(1, round(size[1] * scale))


def bare_copy(image: Image.Image, long_side: int) -> Image.Image:
    """An upright RGB copy in sRGB on white, at most `long_side` long, pasted into a new image.

    A new image, because what an opened one carries beside its pixels may be written again with
    them: a JPEG's comment is.
    """
    profile = image.info.get("icc_profile")
    orientation = image.getexif().get(ORIENTATION)
    image = plain_mode(image)
    if max(image.size) > long_side:
        image = image.resize(
            fitting(image.size, long_side), Image.Resampling.LANCZOS, reducing_gap=2.0
        )
    alpha = image.getchannel("A") if image.mode in ("LA", "RGBA") else None
    colours = in_srgb(image.convert(image.mode[:-1]) if alpha else image, profile)
    bare = Image.new("RGB", colours.size, "white")
    bare.paste(colours, mask=alpha)
    return upright(bare, orientation)


def plain_mode(image: Image.Image) -> Image.Image:
    """The picture in one of the modes L, LA, RGB, RGBA and CMYK, eight bits a channel."""
    if image.mode.startswith("I"):  # 16-bit grey
        return image.point(lambda value: value / 256).convert("L")
    if image.mode == "P":
        return image.convert("RGBA" if image.has_transparency_data else "RGB")
    if image.mode in ("L", "RGB") and image.has_transparency_data:
        return image.convert("LA" if image.mode == "L" else "RGBA")
    if image.mode in ("L", "LA", "RGB", "RGBA", "CMYK"):
        image.load()
        return image
    return image.convert("RGBA" if image.has_transparency_data else "RGB")


def in_srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    """The picture's colours as a screen without colour management shows them."""
    if profile:
        try:
            source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            converted = ImageCms.profileToProfile(
                image, source, SRGB, ImageCms.Intent.RELATIVE_COLORIMETRIC, "RGB"
            )
            return converted or image
        except (ImageCms.PyCMSError, OSError, ValueError):
            pass  # a damaged profile, or one of another kind of picture: show it without
    return image.convert("RGB")


def upright(image: Image.Image, orientation: object) -> Image.Image:
    """Undo the way a camera was held (Exif orientation 1 to 8)."""
    if orientation not in range(2, 9):
        return image
    tagged = image.copy()
    tagged.getexif()[ORIENTATION] = orientation
    ImageOps.exif_transpose(tagged, in_place=True)
    return tagged
