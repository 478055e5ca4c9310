"""Hours as a builder writes them, and back. Everything is kept in whole minutes."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from fractions import Fraction

__all__ = ["NotHours", "read_hours", "show_hours"]

#: No stretch that a builder types is longer than this: about eleven years without a break.
MOST_MINUTES = 100_000 * 60

_NUMBER = r"(?:\d+[ -])?\d+/\d+|\d[\d.,]*\d|[.,]?\d+"
_AND = r" ?(?:and |, ?)?"
_CLOCK = re.compile(r"(\d{1,6}):(\d{2})(?::00)?(?: ?h(?:rs?|ours?)?\.?)?", re.ASCII)
_MINUTES = re.compile(rf"({_NUMBER}) ?m(?:ins?|inutes?)?\.?", re.ASCII)
_WORDS = re.compile(
    rf"(?:(?P<days>{_NUMBER}) ?(?:d|days?)\.?{_AND})?"
    rf"(?:(?P<hours>{_NUMBER})(?P<named> ?h(?:rs?|ours?)?)?\.?{_AND})?"
    r"(?:(?P<minutes>\d{1,2}) ?(?:m(?:ins?|inutes?)?)?\.?)?",
    re.ASCII,
)
_FRACTION = re.compile(r"(?:(\d+)[ -])?(\d+)/(\d+)", re.ASCII)
_BEFORE_SET_FRACTION = re.compile("(?<=[0-9])(?=[¼-¾⅐-⅞])")
#: A mark with three digits behind it may part thousands, unless a nought stands before it.
_OPEN = re.compile(r"[1-9]\d{0,2}[.,]\d{3}", re.ASCII)
_DASHES = str.maketrans("−–—", "---")


class NotHours(ValueError):
    """Text that is no number of hours. `reason` tells why and what to do, `rule` is a stable word.

    Rules: unreadable, negative, too-large, ambiguous-number, zero-denominator.
    """

    def __init__(self, text: str, reason: str, rule: str = "unreadable") -> None:
        super().__init__(f"“{text}” {reason}")
        self.reason = reason
        self.rule = rule


def read_hours(
    text: str,
    *,
    negative: bool = False,
    days: bool = False,
    number: Callable[[str], Fraction] | None = None,
) -> int:
    """Minutes from hours as written: `3`, `3.5`, `3,5`, `3:30`, `3 h 30`, `1 1/2`, `½`, `45 min`.

    Parameters
    ----------
    text
        A bare number is hours. Parts of a minute are rounded, half to even.
    negative
        Whether a leading minus is read.
    days
        Whether `2 days` is read, for time by the clock: a day of 24 hours. A day of work has no
        length that is the same for everybody.
    number
        Reads a number without unit or fraction, such as `1,250`, where the caller knows which
        mark is the decimal one. Otherwise both are, and what may be thousands is refused.

    Raises
    ------
    NotHours
        If the text is none of these, is negative, or is more than anyone works.

    Examples
    --------
    >>> [read_hours(text) for text in ("3", "3,5", "3:30", "3 h 30", "1½ h", "45 min")]
    [180, 210, 210, 210, 90, 45]
    >>> read_hours("2 d 6 h", days=True)
    3240
    >>> read_hours("some")
    Traceback (most recent call last):
    tasks.hours.NotHours: “some” is not a number of hours; write 3, 3.5, 3:30, 3 h 30, ...
    """
    plain = _plain(text)
    sign = 1
    if plain.startswith("-"):
        if not negative:
            raise NotHours(text, "is less than no hours; they cannot be negative.", "negative")
        sign, plain = -1, plain[1:].lstrip()
    minutes = _minutes(plain, text, days, number or (lambda part: _either_mark(part, text)))
    if minutes > MOST_MINUTES:
        raise NotHours(text, "is more than 100 000 hours; check it.", "too-large")
    return sign * round(minutes)


def _unreadable(text: str) -> NotHours:
    return NotHours(text, "is not a number of hours; write 3, 3.5, 3:30, 3 h 30, 1 1/2 or 45 min.")


def _plain(text: str) -> str:
    apart = _BEFORE_SET_FRACTION.sub(" ", text)
    plain = unicodedata.normalize("NFKC", apart).replace("\u2044", "/").translate(_DASHES)
    return " ".join(plain.lower().split())


def _minutes(plain: str, text: str, days: bool, number: Callable[[str], Fraction]) -> Fraction:
    if match := _CLOCK.fullmatch(plain):
        return Fraction(int(match[1]) * 60 + _under_sixty(match[2], text))
    if match := _MINUTES.fullmatch(plain):
        return _value(match[1], text, number)
    match = _WORDS.fullmatch(plain)
    if not match or not any(match.groups()):
        raise _unreadable(text)
    if match["days"] and not days:
        raise NotHours(text, "is in days; a day of work has no fixed hours. Give hours.")
    hours = _value(match["hours"], text, number)
    rest = 0
    if match["minutes"]:  # “3 30” and “1.5 h 30” may mean anything
        if not match["named"] or hours.denominator != 1:
            raise _unreadable(text)
        rest = _under_sixty(match["minutes"], text)
    return (_value(match["days"], text, number) * 24 + hours) * 60 + rest


def _value(numeral: str | None, text: str, number: Callable[[str], Fraction]) -> Fraction:
    if not numeral:
        return Fraction(0)
    fraction = _FRACTION.fullmatch(numeral)
    if not fraction:
        return number(numeral)
    whole, over, under = (int(part or 0) for part in fraction.groups())
    if not under:
        raise NotHours(text, "has 0 below the line: that is no fraction.", "zero-denominator")
    return whole + Fraction(over, under)


def _either_mark(numeral: str, text: str) -> Fraction:
    plain = numeral.replace(",", ".")
    if _OPEN.fullmatch(numeral):
        large = plain.replace(".", "")
        raise NotHours(
            text, f"may be {plain}0 or {large}: write the one you mean.", "ambiguous-number"
        )
    if plain.count(".") > 1:
        raise _unreadable(text)
    return Fraction(plain)


def _under_sixty(minutes: str, text: str) -> int:
    if int(minutes) >= 60:
        raise NotHours(text, f"has {minutes} minutes beside its hours; an hour has 60.")
    return int(minutes)


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
