"""Pictures for tests, made here: an upright one has a red, a green, a blue and a white quarter."""

from __future__ import annotations

import io

import numpy as np
import pillow_heif
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageDraw

pillow_heif.register_heif_opener()

RED, GREEN, BLUE, WHITE = (200, 30, 30), (30, 160, 30), (30, 30, 200), (255, 255, 255)


def quarters(width: int = 400, height: int = 300) -> Image.Image:
    """Red top left, green top right, blue bottom left, white bottom right."""
    image = Image.new("RGB", (width, height), WHITE)
    draw = ImageDraw.Draw(image)
    draw.rectangle((0, 0, width // 2 - 1, height // 2 - 1), RED)
    draw.rectangle((width // 2, 0, width - 1, height // 2 - 1), GREEN)
    draw.rectangle((0, height // 2, width // 2 - 1, height - 1), BLUE)
    return image


def noise(width: int = 400, height: int = 300) -> Image.Image:
    """Pixels that do not compress, so that a file cut short is cut within them."""
    pixels = np.random.default_rng(7).integers(0, 255, (height, width, 3), dtype="uint8")
    return Image.fromarray(pixels)


def exif(orientation: int = 1, taken: str = "", offset: str = "", gps: bool = False) -> Image.Exif:
    made = Image.Exif()
    made[0x0112] = orientation
    part = made.get_ifd(0x8769)
    if taken:
        part[0x9003] = taken
    if offset:
        part[0x9011] = offset
    if gps:
        made.get_ifd(0x8825).update(
            {1: "N", 2: (47.0, 30.0, 15.5), 3: "W", 4: (2.0, 45.0, 1.25), 29: "2026:02:03"}
        )
    return made


def encoded(image: Image.Image, format: str = "JPEG", **options) -> bytes:
    buffer = io.BytesIO()
    image.save(buffer, format, **options)
    return buffer.getvalue()


def upload(data: bytes, name: str = "IMG_0001.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data, content_type="image/jpeg")


def a_photo(name: str = "IMG_0001.jpg", seed: int = 0, **tags) -> SimpleUploadedFile:
    """A small JPEG, another one for each seed."""
    image = quarters(80, 60)
    image.putpixel((0, 0), (seed % 256, seed // 256 % 256, 77))
    return upload(encoded(image, exif=exif(**tags), quality=95, comment=str(seed)), name)


def looks_like(image: Image.Image, colours: list[tuple[int, int, int]], within: int = 25) -> bool:
    """Are the middles of the four quarters of these colours, row by row?"""
    rgb = image.convert("RGB")
    width, height = rgb.size
    middles = [(x * width // 4, y * height // 4) for y in (1, 3) for x in (1, 3)]
    return all(
        abs(seen - meant) <= within
        for middle, colour in zip(middles, colours, strict=True)
        for seen, meant in zip(rgb.getpixel(middle), colour, strict=True)
    )
