"""Hours as people write them, kept as whole minutes."""

from __future__ import annotations

import re
from fractions import Fraction

from .errors import NegativeValue, NotReadable, TooLarge
from .numbers import DecimalMark, fraction, to_decimal
from .text import tidy

__all__ = ["format_minutes", "parse_hours"]

MOST_MINUTES = 60 * 100_000

_CLOCK = re.compile(r"(\d{1,6}):(\d{2})(?::00)?(?: ?h(?:rs?|ours?)?\.?)?", re.ASCII | re.I)
_NUMBER = r"(?:(?:(\d+)[ -])?(\d+)/(\d+)|(\d[\d.,]*\d|[.,]?\d+))"
_WITH_UNITS = re.compile(
    rf"{_NUMBER} ?(d|days?|h|hrs?|hours?|mins?|minutes?|m)?\.?"
    r"(?: ?(?:and |, ?)?(\d{1,2}) ?(?:m|mins?|minutes?)?\.?)?",
    re.ASCII | re.I,
)


def parse_hours(text: str, decimal: DecimalMark | None = None) -> int:
    """Read working time; a bare number is hours.

    Parameters
    ----------
    text
        Such as ``1:30``, ``1.5``, ``1,5``, ``1 1/2``, ``90 min``, ``2h 15``, ``1 h 30``.
    decimal
        The decimal mark where it is known; see ``numbers``.

    Returns
    -------
    int
        Minutes, rounded half to even.

    Raises
    ------
    NegativeValue, NotReadable, AmbiguousNumber, ZeroDenominator, TooLarge

    Examples
    --------
    >>> [parse_hours(t) for t in ("1:30", "1.5", "1,5", "90 min", "2h 15", "½")]
    [90, 90, 90, 90, 135, 30]
    """
    typed = text.strip()
    body = tidy(text, "a number of hours")
    if body.startswith("-"):
        raise NegativeValue(typed, "is less than nothing: hours cannot be negative.")
    minutes = _minutes(body, typed, decimal)
    if minutes > MOST_MINUTES:
        raise TooLarge(typed, "is more than 100 000 hours; check it.")
    return round(minutes)


def _minutes(body: str, typed: str, decimal: DecimalMark | None) -> Fraction:
    clock = _CLOCK.fullmatch(body)
    if clock:
        return Fraction(60 * int(clock[1]) + _under_sixty(clock[2], typed))
    match = _WITH_UNITS.fullmatch(body)
    if match is None:
        raise NotReadable(typed, "is not a number of hours. Write 1.5, 1:30, 2h 15 or 90 min.")
    whole, num, den, plain, unit, more = match.groups()
    if num is not None:
        value = fraction(num, den, typed) + int(whole or 0)
    else:
        value = Fraction(to_decimal(plain, typed, decimal))
    first = (unit or "").lower()
    if first.startswith("d"):
        raise NotReadable(typed, "is in days; a day has no fixed hours here. Give hours.")
    if more is not None:
        if not first.startswith("h") or value.denominator != 1:
            raise NotReadable(typed, "is not a number of hours. Write 1.5, 1:30, 2h 15 or 90 min.")
        return 60 * value + _under_sixty(more, typed)
    return value if first.startswith("m") else 60 * value


def _under_sixty(minutes: str, typed: str) -> int:
    if int(minutes) >= 60:
        raise NotReadable(typed, f"has {minutes} minutes beside its hours; an hour has 60.")
    return int(minutes)


def format_minutes(minutes: int) -> str:
    """Working time for reading: ``1 h 30``, ``45 min``, ``2 h``.

    Examples
    --------
    >>> format_minutes(90), format_minutes(45), format_minutes(125), format_minutes(0)
    ('1 h 30', '45 min', '2 h 05', '0 h')
    """
    sign = "−" if minutes < 0 else ""
    hours, rest = divmod(abs(minutes), 60)
    if not rest:
        return f"{sign}{hours} h"
    if not hours:
        return f"{sign}{rest} min"
    return f"{sign}{hours} h {rest:02d}"
