"""Bytes to text: which encoding a list was saved in."""

from __future__ import annotations

import codecs

from buildlog.lists.reading.errors import Refused

__all__ = ["ENCODINGS", "decode"]

ENCODINGS = {
    "utf-8": "UTF-8",
    "utf-16-le": "UTF-16, little end first",
    "utf-16-be": "UTF-16, big end first",
    "cp1252": "Windows-1252, Western Europe",
    "latin-1": "Latin-1",
    "cp1250": "Windows-1250, Central Europe",
    "mac-roman": "Mac Roman",
}
"""The encodings that may be chosen by hand, with their names."""

_BYTE_ORDER_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_KEPT_CONTROLS = frozenset("\t\n\r\x0b\x0c\x1c\x1d\x1e\x85")


def decode(content: bytes, encoding: str = "") -> tuple[str, str]:
    """The text of a file, and the encoding it was read in.

    Parameters
    ----------
    content
        The whole file.
    encoding
        A key of `ENCODINGS` to read it in; empty to find out. A byte order mark always decides.

    Raises
    ------
    Refused
        It is not text, or not text in that encoding.

    Notes
    -----
    Without a mark: UTF-16 shows in every second byte being nought, UTF-8 in being well formed.
    What is neither is Windows-1252, or Latin-1 where it uses a byte that Windows-1252 has not.

    Examples
    --------
    >>> decode(b"\\xff\\xfea\\x00;\\x00b\\x00"), decode(b"\\x80 51.55")
    (('a;b', 'utf-16-le'), ('€ 51.55', 'cp1252'))
    """
    for mark, name in _BYTE_ORDER_MARKS:
        if content.startswith(mark):
            return _text(content[len(mark) :], name), name
    if encoding:
        if encoding not in ENCODINGS:
            raise Refused(f"There is no encoding {encoding} here.")
        return _text(content, encoding), encoding
    for name in _likely(content):
        try:
            return _text(content, name), name
        except Refused:
            if name == "latin-1":
                raise
    raise Refused("The file is not text.")


def _likely(content: bytes) -> list[str]:
    sample = content[:4000]
    half = max(len(sample) // 2, 1)
    if sample[1::2].count(0) > 0.4 * half:
        return ["utf-16-le"]
    if sample[0::2].count(0) > 0.4 * half:
        return ["utf-16-be"]
    return ["utf-8", "cp1252", "latin-1"]


def _text(content: bytes, encoding: str) -> str:
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError:
        raise Refused(f"The file is not text in {ENCODINGS.get(encoding, encoding)}.") from None
    odd = sum(1 for c in text[:20_000] if c < " " and c not in _KEPT_CONTROLS)
    if odd > 0.02 * min(len(text), 20_000):
        raise Refused(
            "The file is not a list: it is not text. Save the list as CSV or XLSX and bring that."
        )
    return text
