"""What leaves the program as a rendition carries no metadata: judged by ExifTool.

Source: ExifTool by Phil Harvey (https://exiftool.org), a reader of metadata that knows far more
formats and tags than the library the renditions are made with. It also *writes* the metadata
that the originals of these tests carry: Exif with GPS and a thumbnail, XMP, IPTC, comments.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import subprocess
from pathlib import Path

import pytest

from buildlog.background.jobs import run_open_jobs
from buildlog.files.store import open_original
from buildlog.journal.intake import take_in
from tests.buildlog.journal.pictures import encoded, exif, quarters, upload

EXIFTOOL = shutil.which("exiftool")

pytestmark = pytest.mark.skipif(
    EXIFTOOL is None and not os.environ.get("CI"),
    reason="needs ExifTool (Debian: libimage-exiftool-perl); CI must have it",
)

# What a file cannot be without, and what the file system says of it.
HARMLESS = {"ExifTool", "System", "File", "Composite"}
WEBP_OF_PIXELS = {
    "VP8Version", "HorizontalScale", "VerticalScale", "ImageWidth", "ImageHeight", "VP8Bitstream",
}  # fmt: skip

PLANTED = [
    "-GPSLatitude=47.504305", "-GPSLatitudeRef=N", "-GPSLongitude=2.750347", "-GPSLongitudeRef=W",
    "-DateTimeOriginal=2026:02:03 14:05:06", "-Make=Planted", "-Model=Planted",
    "-SerialNumber=PLANTED-4711", "-OwnerName=Planted Owner", "-XMP-dc:Creator=Planted Creator",
    "-XMP-photoshop:City=Planted City", "-XMP-exif:GPSLatitude=47.504305",
]  # fmt: skip


def exiftool(*args: str | Path) -> str:
    done = subprocess.run(
        [EXIFTOOL or "exiftool", *map(str, args)], capture_output=True, text=True, check=True
    )
    return done.stdout


def tags_of(path: Path) -> dict[str, object]:
    return json.loads(exiftool("-json", "-G0", "-a", "-u", "-U", "-ee", path))[0]


def planted(folder: Path, format: str) -> bytes:
    path = folder / f"planted.{'heic' if format == 'HEIF' else format.lower()}"
    path.write_bytes(encoded(quarters(), format, exif=exif(6, gps=True).tobytes()))
    extra = []
    if format in ("JPEG", "PNG"):
        extra = ["-Comment=Planted comment, 47.5 N 2.75 W"]
    if format == "JPEG":
        thumbnail = folder / "thumbnail.jpg"
        thumbnail.write_bytes(encoded(quarters(160, 120)))
        extra += ["-IPTC:City=Planted City", f"-ThumbnailImage<={thumbnail}"]
    exiftool("-overwrite_original", *PLANTED, *extra, path)
    return path.read_bytes()


@pytest.mark.parametrize("format", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_renditions_carry_no_metadata_and_originals_all_of_theirs(
    build, hand, settings, tmp_path, format
):
    data = planted(tmp_path, format)
    photo = take_in(build, hand, upload(data)).photo
    run_open_jobs()

    original = Path(settings.MEDIA_ROOT) / photo.file.path
    carried = tags_of(original)
    assert {"EXIF:GPSLatitude", "XMP:City"} <= set(carried), "the test planted nothing to find"
    with open_original(photo.file) as file:
        assert hashlib.sha256(file.read()).hexdigest() == hashlib.sha256(data).hexdigest()
    assert photo.file.sha256 == hashlib.sha256(data).hexdigest()

    renditions = list(photo.renditions.all())
    assert len(renditions) == 3
    for rendition in renditions:
        path = Path(settings.MEDIA_ROOT) / rendition.path
        left = {
            tag: value
            for tag, value in tags_of(path).items()
            if tag != "SourceFile" and tag.split(":")[0] not in HARMLESS
        }
        assert {tag.split(":")[1] for tag in left} <= WEBP_OF_PIXELS, left
        whole = path.read_bytes()
        assert b"lanted" not in whole
        assert whole[12:16] == b"VP8 "  # the simple WebP layout has no room for metadata
