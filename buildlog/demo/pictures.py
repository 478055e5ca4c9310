"""Photos drawn by the program: the boat as line work, with a camera's date and a place in them.

The place is at sea on purpose: what is shown to others must not carry it, and that can be seen.
"""

from __future__ import annotations

import datetime as dt
import io
import math
import random

from PIL import Image, ImageDraw

PAPER, INK, PENCIL, BLUE, WOOD = "#f6f0e2", "#1e2a35", "#9a9a92", "#28507a", "#b98a4e"
WIDTH, HEIGHT = 1600, 1200
BASE = 860  # the strongback's upper edge

# What stands at each stage of the picture story: the last number drawn of each.
STORY = ("lines", "strongback", "frames", "bulkheads", "keelson", "stiffeners")


def sheer(x: float) -> float:
    """Height of the sheer over the strongback, upside down: x from 0 at the stem to 1."""
    return 90 + 46 * (x - 0.55) ** 2


def keel(x: float) -> float:
    return 430 * math.sin(math.pi * min(1.0, 0.08 + x * 0.95)) ** 0.55 + 40


def point(x: float, height: float) -> tuple[float, float]:
    return 150 + x * 1300, BASE - height


def photo(story: str, share: float, number: int, taken: dt.datetime) -> bytes:
    """A JPEG of the boat at a point of its story, `share` of that step done, with EXIF."""
    pencil = random.Random(number)  # noqa: S311 (a drawing's wobble)
    image = Image.new("RGB", (WIDTH, HEIGHT), PAPER)
    draw = ImageDraw.Draw(image)
    _shed(draw, pencil)
    step = STORY.index(story)
    _lines(draw, share if step == 0 else 1.0, faint=step > 0)
    if step >= 1:
        _strongback(draw, share if step == 1 else 1.0)
    if step >= 2:
        _frames(draw, round(9 * (share if step == 2 else 1.0)), pencil)
    if step >= 3:
        _bulkheads(draw, share if step == 3 else 1.0)
    if step >= 4:
        _keelson(draw, share if step == 4 else 1.0)
    if step >= 5:
        _stiffeners(draw, share)
    _helper(draw, pencil)
    out = io.BytesIO()
    image = image.resize((1280, 960))
    image.save(out, "JPEG", quality=80, exif=_exif(taken, number))
    return out.getvalue()


def _curve(draw, height, *, first=0.0, last=1.0, fill=INK, width=3) -> None:
    points = [point(first + (last - first) * n / 60, 0) for n in range(61)]
    drawn = [
        (px, BASE - height(first + (last - first) * n / 60)) for n, (px, _) in enumerate(points)
    ]
    draw.line(drawn, fill=fill, width=width, joint="curve")


def _shed(draw: ImageDraw.ImageDraw, pencil: random.Random) -> None:
    draw.line([(0, 1010), (WIDTH, 1010)], fill=PENCIL, width=2)
    for x in range(60, WIDTH, 220):
        draw.line([(x, 90), (x, 1010)], fill="#ddd4c0", width=5)
    draw.line([(0, 150), (WIDTH, 90)], fill="#ddd4c0", width=7)
    for _ in range(40):
        x, y = pencil.randrange(WIDTH), pencil.randrange(1015, HEIGHT)
        draw.line([(x, y), (x + pencil.randrange(4, 26), y + 2)], fill="#cdbf9f", width=2)


def _lines(draw: ImageDraw.ImageDraw, share: float, *, faint: bool) -> None:
    ink = "#d3cbb8" if faint else BLUE
    _curve(draw, keel, last=max(share, 0.05), fill=ink, width=2)
    _curve(draw, sheer, last=max(share, 0.05), fill=ink, width=2)
    for n in range(1, 10):
        x = n / 10
        if x <= share and not faint:
            draw.line([point(x, sheer(x)), point(x, keel(x))], fill=ink, width=1)


def _strongback(draw: ImageDraw.ImageDraw, share: float) -> None:
    left, right = point(-0.02, 0), point(-0.02 + 1.04 * share, 0)
    draw.rectangle([left[0], BASE, right[0], BASE + 44], outline=INK, width=4)
    for n in range(8):
        x = -0.02 + n * 0.148
        if x <= 1.04 * share:
            px, _ = point(x, 0)
            draw.rectangle([px, BASE + 44, px + 22, 1010], outline=INK, width=3)


def _frames(draw: ImageDraw.ImageDraw, count: int, pencil: random.Random) -> None:
    for n in range(1, count + 1):
        x = n / 10
        lean = pencil.uniform(-2, 2)
        (px, top), (_, foot) = point(x, keel(x)), point(x, 0)
        draw.polygon(
            [(px - 9, foot), (px - 9 + lean, top), (px + 9 + lean, top), (px + 9, foot)],
            outline=INK,
            fill="#ead9b8",
            width=3,
        )
        draw.line([(px - 9, BASE - sheer(x)), (px + 9, BASE - sheer(x))], fill=INK, width=3)


def _bulkheads(draw: ImageDraw.ImageDraw, share: float) -> None:
    for x in (0.15, 0.45)[: 1 + (share > 0.5)]:
        (px, top), (_, foot) = point(x, keel(x)), point(x, 0)
        draw.rectangle([px - 7, top, px + 40, foot], outline=INK, fill="#dec79b", width=3)
    _curve(draw, keel, last=0.1, fill=WOOD, width=16)


def _keelson(draw: ImageDraw.ImageDraw, share: float) -> None:
    _curve(draw, lambda x: keel(x) + 8, last=max(share, 0.1), fill=INK, width=24)
    _curve(draw, lambda x: keel(x) + 8, last=max(share, 0.1), fill=WOOD, width=17)


def _stiffeners(draw: ImageDraw.ImageDraw, share: float) -> None:
    shown = [(sheer, 1.0), (lambda x: keel(x) * 0.72, share), (lambda x: keel(x) * 0.45, share)]
    for height, part in shown[: 1 + round(2 * share)]:
        _curve(draw, height, last=max(part, 0.2), fill=INK, width=15)
        _curve(draw, height, last=max(part, 0.2), fill=WOOD, width=9)


def _helper(draw: ImageDraw.ImageDraw, pencil: random.Random) -> None:
    """Somebody for scale, drawn as little as will do."""
    x = pencil.choice((220, 780, 1300)) + pencil.randrange(-60, 60)
    draw.ellipse([x - 20, 700, x + 20, 740], outline=INK, width=4)
    draw.line([(x, 740), (x, 880)], fill=INK, width=6)
    draw.line([(x, 880), (x - 30, 1006)], fill=INK, width=6)
    draw.line([(x, 880), (x + 28, 1006)], fill=INK, width=6)
    draw.line([(x - 46, 800), (x, 770), (x + 52, 790 - pencil.randrange(70))], fill=INK, width=5)


def _exif(taken: dt.datetime, number: int) -> Image.Exif:
    exif = Image.Exif()
    exif[0x010F], exif[0x0110] = "Invented", "Pencil 1"
    stamp = taken.strftime("%Y:%m:%d %H:%M:%S")
    offset = taken.strftime("%z")
    exif[0x0132] = stamp
    detail = exif.get_ifd(0x8769)
    detail[0x9003] = detail[0x9004] = stamp
    detail[0x9011] = f"{offset[:3]}:{offset[3:]}"
    place = exif.get_ifd(0x8825)
    place[1], place[2] = "N", (31.0, 12.0, float(number % 60))
    place[3], place[4] = "W", (41.0, 30.0, 0.0)
    return exif
