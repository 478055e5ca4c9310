from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image, ImageCms

from buildlog.files import Refused
from buildlog.files.sniff import sniff
from buildlog.journal.renditions import make_renditions
from tests.buildlog.journal.pictures import (
    BLUE,
    GREEN,
    RED,
    WHITE,
    encoded,
    exif,
    looks_like,
    noise,
    quarters,
)

UPRIGHT = [RED, GREEN, BLUE, WHITE]


@pytest.fixture
def renditions_of(tmp_path):
    def make(data: bytes, turned: int = 0) -> list[Image.Image]:
        path = tmp_path / "picture"
        path.write_bytes(data)
        return [Image.open(io.BytesIO(m.data)) for m in make_renditions(path, sniff(data), turned)]

    return make


def held(image: Image.Image, orientation: int) -> Image.Image:
    """The pixels a camera held that way would have stored of this upright scene."""
    turn = Image.Transpose
    ways = {
        2: [turn.FLIP_LEFT_RIGHT],
        3: [turn.ROTATE_180],
        4: [turn.FLIP_TOP_BOTTOM],
        5: [turn.TRANSPOSE],
        6: [turn.ROTATE_90],
        7: [turn.TRANSVERSE],
        8: [turn.ROTATE_270],
    }
    for way in ways.get(orientation, []):
        image = image.transpose(way)
    return image


def test_three_sizes_are_made_and_the_shape_kept(renditions_of):
    sizes = [image.size for image in renditions_of(encoded(quarters(4000, 3000)))]
    assert sizes == [(1600, 1200), (800, 600), (320, 240)]


def test_a_small_picture_is_never_enlarged(renditions_of):
    sizes = [image.size for image in renditions_of(encoded(quarters(500, 400)))]
    assert sizes == [(500, 400), (500, 400), (320, 256)]


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("format", ["JPEG", "PNG", "WEBP"])
def test_every_way_of_holding_the_camera_ends_upright(renditions_of, format, orientation):
    scene = held(quarters(), orientation)
    data = encoded(scene, format, exif=exif(orientation).tobytes())
    for image in renditions_of(data):
        assert looks_like(image, UPRIGHT)
        assert image.width > image.height


@pytest.mark.parametrize("orientation", [1, 3, 6, 8])
def test_heic_ends_upright_too(renditions_of, orientation):
    data = encoded(held(quarters(), orientation), "HEIF", exif=exif(orientation).tobytes())
    assert looks_like(renditions_of(data)[0], UPRIGHT)


@pytest.mark.parametrize("orientation", [0, 9, 255])
def test_an_orientation_that_does_not_exist_is_no_orientation(renditions_of, orientation):
    data = encoded(quarters(), exif=exif(orientation))
    assert looks_like(renditions_of(data)[0], UPRIGHT)


@pytest.mark.parametrize(
    ("turned", "colours"),
    [
        (1, [BLUE, RED, WHITE, GREEN]),
        (2, [WHITE, BLUE, GREEN, RED]),
        (3, [GREEN, WHITE, RED, BLUE]),
    ],
)
def test_the_builder_may_turn_it_clockwise(renditions_of, turned, colours):
    image = renditions_of(encoded(quarters()), turned)[0]
    assert looks_like(image, colours)
    assert image.size == ((300, 400) if turned % 2 else (400, 300))


def test_cmyk_comes_out_in_its_colours(renditions_of):
    data = encoded(quarters().convert("CMYK"), "JPEG", quality=95)
    assert looks_like(renditions_of(data)[0], UPRIGHT)


def test_see_through_parts_become_white(renditions_of):
    image = quarters().convert("RGBA")
    image.paste((0, 0, 0, 0), (0, 0, 200, 150))
    assert looks_like(renditions_of(encoded(image, "PNG"))[0], [WHITE, GREEN, BLUE, WHITE])


def test_a_palette_with_transparency_becomes_white_where_clear(renditions_of):
    image = quarters().quantize(8)
    clear = image.getpixel((10, 10))
    data = encoded(image, "PNG", transparency=clear)
    assert looks_like(renditions_of(data)[0], [WHITE, GREEN, BLUE, WHITE])


@pytest.mark.parametrize("mode", ["L", "LA", "1", "P"])
def test_grey_and_two_tone_pictures_are_shown(renditions_of, mode):
    data = encoded(quarters().convert("L").convert(mode), "PNG")
    assert renditions_of(data)[0].getpixel((300, 225)) == (255, 255, 255)


def test_sixteen_bits_a_channel_are_scaled_not_cut(renditions_of):
    ramp = np.linspace(0, 65535, 400, dtype="uint16")
    data = encoded(Image.fromarray(np.tile(ramp, (300, 1))), "PNG")
    image = renditions_of(data)[0]
    assert [abs(image.getpixel((x, 150))[0] - x * 255 // 399) <= 3 for x in (20, 200, 380)] == [
        True
    ] * 3


def swapped_profile() -> bytes:
    """sRGB with its red and green primaries exchanged in the tag table."""
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    return (
        profile.replace(b"rXYZ", b"????", 1)
        .replace(b"gXYZ", b"rXYZ", 1)
        .replace(b"????", b"gXYZ", 1)
    )


@pytest.mark.parametrize("format", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_colours_are_converted_by_the_embedded_profile(renditions_of, format):
    """Where a profile says that the first number is green, red pixels come out green."""
    data = encoded(quarters(), format, icc_profile=swapped_profile())
    top_left, top_right = (renditions_of(data)[0].getpixel((x, 75)) for x in (100, 300))
    assert top_left[1] > 150 > 100 > top_left[0]
    assert top_right[0] > 120 > 100 > top_right[1]


def test_a_profile_for_other_than_its_pixels_is_passed_over(renditions_of):
    lab = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()
    assert looks_like(renditions_of(encoded(quarters(), "PNG", icc_profile=lab))[0], UPRIGHT)


def test_a_damaged_profile_is_passed_over(renditions_of):
    data = encoded(quarters(), "JPEG", icc_profile=b"no profile at all")
    assert looks_like(renditions_of(data)[0], UPRIGHT)


def test_nothing_of_the_original_travels_with_the_pixels(renditions_of):
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    data = encoded(
        quarters(), exif=exif(6, gps=True), comment=b"47.5 N 2.75 W", icc_profile=profile
    )
    for image in renditions_of(data):
        assert not dict(image.getexif())
        assert set(image.info) <= {"background", "loop", "timestamp", "duration"}


def test_a_picture_damaged_since_is_refused(renditions_of):
    with pytest.raises(Refused, match="damaged"):
        renditions_of(encoded(noise())[:5000])
