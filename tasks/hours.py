"""Hours as a builder writes them, and back. Everything is kept in whole minutes."""

from __future__ import annotations

import re
from decimal import Decimal

__all__ = ["NotHours", "read_hours", "show_hours"]

#: No stretch that a builder types is longer than this: about eleven years without a break.
MOST_MINUTES = 100_000 * 60

_NUMBER = r"\d+(?:[.,]\d+)?"
_CLOCK = re.compile(r"(\d+):([0-5]?\d)(?:\s*h)?")
_WORDS = re.compile(
    rf"(?:(?P<days>{_NUMBER})\s*(?:d|days?)\s*)?"
    rf"(?:(?P<hours>{_NUMBER})\s*(?:h|hrs?|hours?)?\s*)?"
    rf"(?:(?P<minutes>\d+)\s*(?:m|min|mins|minutes?)?)?"
)
_MINUTES_ONLY = re.compile(r"(\d+)\s*(?:m|min|mins|minutes?)")


class NotHours(ValueError):
    """Text that is no number of hours; the message says what would be."""


def read_hours(text: str, *, negative: bool = False) -> int:
    """Minutes from hours as written: `3`, `3.5`, `3,5`, `3:30`, `3 h 30`, `45 min`, `2 days`.

    A day is 24 hours. Parts of a minute are rounded. With `negative`, a leading minus is read.

    Raises
    ------
    NotHours
        If the text is none of these, is negative, or is more than anyone works.

    Examples
    --------
    >>> [read_hours(text) for text in ("3", "3,5", "3:30", "3 h 30", "45 min", "2 d")]
    [180, 210, 210, 210, 45, 2880]
    >>> read_hours("some")
    Traceback (most recent call last):
    tasks.hours.NotHours: “some” is not a number of hours; write 3, 3.5, 3:30, 3 h 30 or 45 min.
    """
    plain = " ".join(text.replace("−", "-").lower().split())
    sign = 1
    if plain.startswith("-"):
        if not negative:
            raise NotHours(f"“{text}” is less than no hours.")
        sign, plain = -1, plain[1:].lstrip()
    minutes = _read_minutes(plain)
    if minutes is None:
        raise NotHours(f"“{text}” is not a number of hours; write 3, 3.5, 3:30, 3 h 30 or 45 min.")
    if minutes > MOST_MINUTES:
        raise NotHours(f"“{text}” is more than {MOST_MINUTES // 60:,} hours.")
    return sign * minutes


def _read_minutes(plain: str) -> int | None:
    if match := _CLOCK.fullmatch(plain):
        return int(match[1]) * 60 + int(match[2])
    if match := _MINUTES_ONLY.fullmatch(plain):
        return int(match[1])
    match = _WORDS.fullmatch(plain)
    if not match or not any(match.groups()):
        return None
    if match["minutes"] and match["hours"] and not re.search(r"h", plain):
        return None  # “3 30” may mean anything
    days, hours, minutes = (
        Decimal((match[name] or "0").replace(",", ".")) for name in ("days", "hours", "minutes")
    )
    return round((days * 24 + hours) * 60 + minutes)


def show_hours(minutes: int) -> str:
    """Minutes as hours: `3 h`, `3 h 30`, `45 min`.

    >>> [show_hours(minutes) for minutes in (0, 45, 180, 210, 185, -90)]
    ['0 h', '45 min', '3 h', '3 h 30', '3 h 05', '−1 h 30']
    """
    if minutes < 0:
        return "−" + show_hours(-minutes)
    hours, rest = divmod(minutes, 60)
    if not rest:
        return f"{hours} h"
    return f"{hours} h {rest:02}" if hours else f"{rest} min"
