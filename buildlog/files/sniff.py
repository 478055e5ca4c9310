"""What a file really is, from its first bytes. Its name and what the sender says are no proof."""

from __future__ import annotations

JPEG = "image/jpeg"
PNG = "image/png"
WEBP = "image/webp"
HEIC = "image/heic"
AVIF = "image/avif"
GIF = "image/gif"
TIFF = "image/tiff"
BMP = "image/bmp"
SVG = "image/svg+xml"
PDF = "application/pdf"
HTML = "text/html"
ZIP = "application/zip"
TEXT = "text/plain"
UNKNOWN = "application/octet-stream"

# How the kinds are called in a sentence to the person who sent one.
KIND_NAMES = {
    JPEG: "a JPEG picture",
    PNG: "a PNG picture",
    WEBP: "a WebP picture",
    HEIC: "a HEIC picture",
    AVIF: "an AVIF picture",
    GIF: "a GIF picture",
    TIFF: "a TIFF or raw camera picture",
    BMP: "a BMP picture",
    SVG: "an SVG drawing",
    PDF: "a PDF document",
    HTML: "a web page",
    ZIP: "a ZIP archive or office document",
    TEXT: "plain text",
    "video/mp4": "a video",
    UNKNOWN: "of a kind this program does not know",
}

HEAD_BYTES = 4096

_STARTS = [
    (b"\xff\xd8\xff", JPEG),
    (b"\x89PNG\r\n\x1a\n", PNG),
    (b"GIF87a", GIF),
    (b"GIF89a", GIF),
    (b"II*\x00", TIFF),
    (b"MM\x00*", TIFF),
    (b"%PDF-", PDF),
    (b"PK\x03\x04", ZIP),
    (b"PK\x05\x06", ZIP),
]

# Brands of ISO base media files (ISO/IEC 23008-12 for the still picture ones).
_HEIC_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"mif1", b"msf1"}
_AVIF_BRANDS = {b"avif", b"avis"}
_HEVC_SEQUENCE_BRANDS = {b"hevc", b"hevx", b"hevm", b"hevs"}


def sniff(head: bytes) -> str:
    """The media type that the first `HEAD_BYTES` bytes of a file show.

    >>> sniff(bytes.fromhex("ffd8ffe0"))
    'image/jpeg'
    >>> sniff(b"<!doctype html><title>x</title>")
    'text/html'
    >>> sniff(bytes([0, 1, 2]))
    'application/octet-stream'
    """
    for start, mime in _STARTS:
        if head.startswith(start):
            return mime
    if head[:2] == b"BM" and head[6:10] == bytes(4):
        return BMP
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return WEBP
    if head[4:8] == b"ftyp":
        return _of_media_brand(head)
    return _of_text(head)


def _of_media_brand(head: bytes) -> str:
    box = int.from_bytes(head[:4], "big")
    brands = {head[8:12], *(head[at : at + 4] for at in range(16, min(box, 256, len(head)), 4))}
    if brands & _AVIF_BRANDS:
        return AVIF
    if brands & _HEIC_BRANDS:
        return HEIC
    return HEIC if brands & _HEVC_SEQUENCE_BRANDS else "video/mp4"


def _of_text(head: bytes) -> str:
    if not head or b"\x00" in head:
        return UNKNOWN
    text = head.decode("utf-8-sig", errors="ignore").lstrip().lower()
    if "<svg" in text:
        return SVG
    if text.startswith("<") and any(t in text for t in ("<!doctype html", "<html", "<script")):
        return HTML
    control = sum(1 for byte in head if byte < 32 and byte not in (9, 10, 12, 13))
    return UNKNOWN if control else TEXT


def kind_name(mime: str) -> str:
    return KIND_NAMES.get(mime, KIND_NAMES[UNKNOWN])
