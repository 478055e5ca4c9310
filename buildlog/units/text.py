"""Tidy typed text before it is read: quotation marks, dashes, odd spaces, set fractions."""

from __future__ import annotations

import re
import unicodedata

from .errors import NotReadable

__all__ = ["tidy"]

LONGEST = 80

_SAME = str.maketrans(
    {
        **dict.fromkeys("″“”„‟˝ʺ〃＂", '"'),
        **dict.fromkeys("′‘’‚‛ʹʼ´`＇", "'"),
        **dict.fromkeys("–—−‐‑‒﹣－", "-"),
        **dict.fromkeys("×✕✖⨯", "x"),
        **dict.fromkeys("∕÷", "/"),
        **dict.fromkeys("\u200b\u200c\u200d\u2060\ufeff", None),
    }
)

# Compatibility folding would turn 1¾ into 13⁄4, so the whole is parted from the fraction first.
_SET_FRACTION = "".join(
    chr(c) for c in range(0xA0, 0x2200) if "\u2044" in unicodedata.normalize("NFKC", chr(c))
)
_SUPER = "⁰¹²³⁴⁵⁶⁷⁸⁹"
_BEFORE_FRACTION = re.compile(rf"(?<=\d)(?=[{_SET_FRACTION}])")
_SUPERSCRIPT = re.compile(rf"(?<=\d)(?=[{_SUPER}]+\s*[⁄/])")


def tidy(text: str, what: str) -> str:
    """Plain text of a typed value: one kind of quote, dash, space and fraction bar.

    Parameters
    ----------
    text
        As typed or pasted.
    what
        The thing expected, with its article ("a length"), for the message.

    Raises
    ------
    NotReadable
        When nothing was typed, or far more than such a value can hold.

    Examples
    --------
    >>> tidy(" 1¾″ ", "a length")
    '1 3/4"'
    >>> tidy("4′–6 ³⁄₁₆”", "a length")
    '4\\'-6 3/16"'
    """
    if len(text) > LONGEST:
        raise NotReadable(text, f"is too long to be {what}.")
    plain = text
    if not plain.isascii():
        plain = _SUPERSCRIPT.sub(" ", _BEFORE_FRACTION.sub(" ", plain))
        plain = unicodedata.normalize("NFKC", plain.translate(_SAME)).translate(_SAME)
        plain = plain.replace("\u2044", "/")
    plain = " ".join(plain.split())
    if not plain:
        raise NotReadable("", f"Nothing typed; {what} is needed.")
    return plain
