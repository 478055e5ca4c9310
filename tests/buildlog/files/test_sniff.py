from __future__ import annotations

import io

import pytest
from PIL import Image

from buildlog.files.sniff import kind_name, sniff


def made(format: str) -> bytes:
    buffer = io.BytesIO()
    Image.new("RGB", (8, 8)).save(buffer, format)
    return buffer.getvalue()[:4096]


@pytest.mark.parametrize(
    ("format", "mime"),
    [
        ("JPEG", "image/jpeg"),
        ("PNG", "image/png"),
        ("WEBP", "image/webp"),
        ("AVIF", "image/avif"),
        ("GIF", "image/gif"),
        ("TIFF", "image/tiff"),
        ("BMP", "image/bmp"),
    ],
)
def test_it_knows_pictures_by_what_an_encoder_writes(format, mime):
    assert sniff(made(format)) == mime


@pytest.mark.parametrize(
    ("head", "mime"),
    [
        (b"%PDF-1.7\n", "application/pdf"),
        (b"PK\x03\x04rest", "application/zip"),
        (b"<?xml version='1.0'?><svg xmlns='x'>", "image/svg+xml"),
        (b"\xef\xbb\xbf  <!DOCTYPE html><p>", "text/html"),
        (b"<script>alert(1)</script>", "text/html"),
        (b"task;hours\n1;2\n", "text/plain"),
        (b"BMX tyres, 2\n", "text/plain"),  # begins like a BMP, goes on like no BMP
        (b"MZ\x90\x00\x03", "application/octet-stream"),
        (b"", "application/octet-stream"),
        (b"\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00mp42isom", "video/mp4"),
        (b"\x00\x00\x00\x18ftypmif1\x00\x00\x00\x00mif1heic", "image/heic"),
        (b"\x00\x00\x00\x1cftypmif1\x00\x00\x00\x00mif1avifmiaf", "image/avif"),
    ],
)
def test_it_knows_other_files_by_content(head, mime):
    assert sniff(head) == mime


def test_an_unknown_type_still_has_a_name_for_people():
    assert "does not know" in kind_name("application/x-none")
