"""Counts of parts as a cutting list writes them: ``6``, ``2 (p+s)``, ``one``, ``3 pairs``."""

from __future__ import annotations

import re
from typing import NamedTuple

from .errors import NegativeValue, NotReadable, TooLarge
from .text import tidy

__all__ = ["Count", "parse_count"]

_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_HANDED = r"p ?[+&/] ?s|s ?[+&/] ?p|l ?[+&/] ?r|port (?:and|&|\+) starboard|mirrored|handed|pairs?"
_COUNT = re.compile(
    rf"(?P<number>-?\d+(?:[.,]0+)?|[a-z]+) ?(?:x|off|of|no\.?|pcs?\.?|pieces?)? ?"
    rf"(?P<handed>\(?(?:{_HANDED})\)?)?",
    re.ASCII | re.I,
)


class Count(NamedTuple):
    """Pieces in all, and whether they are a mirrored pair (port and starboard).

    A mirrored pair counts two: ``number`` is always pieces, never pairs.
    """

    number: int
    mirrored: bool = False


def parse_count(text: str) -> Count:
    """Read a whole number of pieces.

    Raises
    ------
    NegativeValue, NotReadable, TooLarge
        A mirrored count must be even: one on each side is written as 2, or as 1 pair.

    Examples
    --------
    >>> parse_count("2 (p+s)"), parse_count("one")
    (Count(number=2, mirrored=True), Count(number=1, mirrored=False))
    >>> parse_count("3 pairs").number
    6
    """
    typed = text.strip()
    body = tidy(text, "a count").lower()
    if body in ("pair", "a pair"):
        return Count(2, True)
    match = _COUNT.fullmatch(body)
    number = _whole(match["number"]) if match else None
    if match is None or number is None:
        raise NotReadable(typed, "is not a whole number of pieces.")
    if number < 0:
        raise NegativeValue(typed, "is less than nothing: a count cannot be negative.")
    if number > 1_000_000:
        raise TooLarge(typed, "is more than a million pieces; check it.")
    handed = match["handed"] or ""
    if "pair" in handed:
        return Count(2 * number, True)
    if handed and number % 2:
        raise NotReadable(typed, "is odd, but port and starboard come in twos: write 2 for a pair.")
    return Count(number, bool(handed))


def _whole(word: str) -> int | None:
    if word in _WORDS:
        return _WORDS.index(word)
    number = re.match(r"-?\d+", word)
    return int(number.group()) if number else None
