from __future__ import annotations

import datetime as dt
import struct
import zlib

import pytest

from buildlog.files import Refused
from buildlog.files.sniff import sniff
from buildlog.journal.picture import look_at, read_time
from tests.buildlog.journal.pictures import encoded, exif, noise, quarters


@pytest.fixture
def facts_of(tmp_path):
    def look(data: bytes):
        path = tmp_path / "picture"
        path.write_bytes(data)
        return look_at(path, sniff(data))

    return look


def huge_png(width: int, height: int) -> bytes:
    """A PNG of a few bytes that says it has width x height pixels."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        body = kind + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(b"\0" * 1000))
        + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize("format", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_it_reads_size_and_time_of_each_kind(facts_of, format):
    tags = exif(taken="2026:02:03 14:05:06", offset="+01:00")
    facts = facts_of(encoded(noise(), format, exif=tags.tobytes()))

    assert (facts.width, facts.height) == (400, 300)
    assert facts.taken.isoformat() == "2026-02-03T14:05:06+01:00"


@pytest.mark.parametrize(
    ("orientation", "size"), [(1, (400, 300)), (3, (400, 300)), (6, (300, 400)), (8, (300, 400))]
)
@pytest.mark.parametrize("format", ["JPEG", "HEIF"])
def test_the_size_is_that_of_the_upright_picture(facts_of, format, orientation, size):
    facts = facts_of(encoded(quarters(), format, exif=exif(orientation).tobytes()))
    assert (facts.width, facts.height) == size


def test_a_camera_that_wrote_no_offset_gives_its_own_clock(facts_of):
    facts = facts_of(encoded(quarters(), exif=exif(taken="2026:02:03 14:05:06")))
    assert facts.taken == dt.datetime(2026, 2, 3, 14, 5, 6)


def test_a_picture_without_a_time_has_none(facts_of):
    assert facts_of(encoded(quarters())).taken is None


@pytest.mark.parametrize("format", ["JPEG", "PNG", "WEBP", "HEIF"])
@pytest.mark.parametrize("part", [0.1, 0.5, 0.95])
def test_a_picture_cut_short_is_refused(facts_of, format, part):
    data = encoded(noise(), format)
    with pytest.raises(Refused, match="damaged, or was cut short"):
        facts_of(data[: int(len(data) * part)])


def test_a_png_with_a_damaged_byte_is_refused(facts_of):
    data = bytearray(encoded(noise(), "PNG"))
    data[len(data) // 2] ^= 0xFF
    with pytest.raises(Refused, match="damaged"):
        facts_of(bytes(data))


@pytest.mark.parametrize("size", [(8000, 6251), (20_000, 20_000), (2**31 - 1, 2**31 - 1)])
def test_a_picture_of_too_many_pixels_is_refused_before_it_is_decoded(facts_of, size):
    with pytest.raises(Refused, match="more than 50 million pixels"):
        facts_of(huge_png(*size))


@pytest.mark.parametrize("format", ["PNG", "WEBP"])
def test_a_moving_picture_is_refused(facts_of, format):
    moving = encoded(quarters(), format, save_all=True, append_images=[noise()])
    with pytest.raises(Refused, match="moving picture"):
        facts_of(moving)


def test_a_jpeg_with_more_pictures_behind_it_is_the_first_one(facts_of):
    several = encoded(quarters(), "MPO", save_all=True, append_images=[noise(40, 30)])
    assert facts_of(several).width == 400


def test_a_picture_without_area_is_refused(facts_of):
    with pytest.raises(Refused, match="damaged"):
        facts_of(huge_png(0, 10))


@pytest.mark.parametrize(
    ("moment", "offset", "iso"),
    [
        ("2026:02:03 14:05:06", None, "2026-02-03T14:05:06"),
        ("2026-02-03T14:05:06.25", "Z", "2026-02-03T14:05:06+00:00"),
        ("2026:02:03 14:05:06\0", "-03:30\0", "2026-02-03T14:05:06-03:30"),
        (b"2026:02:03 14:05:06", b"+14:00", "2026-02-03T14:05:06+14:00"),
        ("2026:02:03 14:05:06", "+25:00", "2026-02-03T14:05:06"),  # no such offset
        ("2026:02:30 14:05:06", "+01:00", None),  # no such day
        ("0000:00:00 00:00:00", None, None),  # a clock that was never set
        ("    :  :     :  :  ", None, None),  # unknown, as Exif writes it
        (20260203, None, None),
        (None, "+01:00", None),
    ],
)
def test_times_are_read_as_cameras_write_them(moment, offset, iso):
    taken = read_time(moment, offset)
    assert (taken.isoformat() if taken else None) == iso
