"""Dates as people write them.

* ISO 8601 (``2026-03-14``, ``20260314``, with or without a time behind it) is year first.
* With full stops (``2.3.2026``) the day comes first, as everywhere that writes dates so.
* With slashes or dashes (``03/09/2026``) it may be either. Where only one reading is a possible
  order it is taken; where both are real dates, ``order`` must settle it, else it is refused.
* A month written as a word settles it. Years of two digits are 20xx.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date
from typing import Literal

from .errors import AmbiguousDate, NoSuchDate, NotReadable, UnitError
from .text import tidy

__all__ = ["DateOrder", "detect_date_order", "parse_date"]

DateOrder = Literal["dmy", "mdy"]

_TIME = r"(?:[T ]\d{1,2}:\d{2}[:.,\d]*(?: ?[ap]m)?(?:Z|[-+][\d:]+)?)?"
_ISO = re.compile(r"(\d{4})(?:([-/.])(\d{1,2})\2(\d{1,2})|(\d{2})(\d{2}))" + _TIME, re.ASCII | re.I)
_THREE = re.compile(r"(\d{1,2})([./-]) ?(\d{1,2})\2 ?(\d{4}|\d{2})\.?" + _TIME, re.ASCII | re.I)
_NAMED = re.compile(
    r"(?:[a-z]+day,? |(?:mon|tue|wed|thu|fri|sat|sun)[.,]* )?"
    r"(?:(?P<d>\d{1,2})(?:st|nd|rd|th|\.)?[ -]?(?:of )?(?P<m>[a-z]{3,9})\.?,?"
    r"|(?P<m2>[a-z]{3,9})\.? ?(?P<d2>\d{1,2})(?:st|nd|rd|th)?,?)"
    r"(?:[ -]?(?P<y>\d{4}|'?\d{2}))?",
    re.ASCII | re.I,
)
_MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)


def parse_date(text: str, order: DateOrder | None = None) -> date:
    """Read one date.

    Parameters
    ----------
    text
        See the rules at the top of this module.
    order
        ``"dmy"`` or ``"mdy"`` for dates with slashes or dashes, where it is known. A date that
        does not exist in that order is refused, not turned round.

    Raises
    ------
    AmbiguousDate
        Both orders are real dates and none was given; its ``readings`` has the two.
    NoSuchDate
        The calendar has no such day.
    NotReadable
        Not a date, or one without its year.

    Examples
    --------
    >>> parse_date("2.3.2026"), parse_date("March 14, 2026")
    (datetime.date(2026, 3, 2), datetime.date(2026, 3, 14))
    >>> parse_date("03/09/2026", order="dmy")
    datetime.date(2026, 9, 3)
    >>> parse_date("03/09/2026")
    Traceback (most recent call last):
    buildlog.units.errors.AmbiguousDate: “03/09/2026” may be 3 September 2026 or 9 March 2026: ...
    >>> parse_date("31/02/2026")
    Traceback (most recent call last):
    buildlog.units.errors.NoSuchDate: “31/02/2026” is no date: February 2026 has 28 days.
    """
    typed = text.strip()
    body = tidy(text, "a date")
    iso = _ISO.fullmatch(body)
    if iso:
        year, _, month, day, month2, day2 = iso.groups()
        return _date(int(year), int(month or month2), int(day or day2), typed)
    three = _THREE.fullmatch(body)
    if three:
        first, mark, second, year = three.groups()
        return _by_order(int(first), int(second), _year(year), mark == ".", order, typed)
    named = _NAMED.fullmatch(body)
    if named:
        return _named(named, typed)
    raise NotReadable(typed, "is not a date. Write it as 2026-03-14 or 14 March 2026.")


def _year(text: str) -> int:
    return int(text) if len(text) == 4 else 2000 + int(text)


def _by_order(
    first: int, second: int, year: int, dotted: bool, order: DateOrder | None, typed: str
) -> date:
    if dotted or order == "dmy":
        return _date(year, second, first, typed)
    if order == "mdy":
        return _date(year, first, second, typed)
    if second > 12:
        return _date(year, first, second, typed)
    if first > 12:
        return _date(year, second, first, typed)
    day_first = _date(year, second, first, typed)
    month_first = _date(year, first, second, typed)
    if day_first == month_first:
        return day_first
    raise AmbiguousDate(
        typed,
        f"may be {_spoken(day_first)} or {_spoken(month_first)}: "
        "say whether the day or the month comes first.",
        (day_first, month_first),
    )


def _named(match: re.Match[str], typed: str) -> date:
    word = (match["m"] or match["m2"]).lower()
    month = next((i for i, name in enumerate(_MONTHS, 1) if name.startswith(word)), None)
    if word == "sept":
        month = 9
    if month is None:
        raise NotReadable(typed, f"has no month that is known: {word}.")
    if match["y"] is None:
        raise NotReadable(typed, "has no year; add it.")
    return _date(_year(match["y"].lstrip("'")), month, int(match["d"] or match["d2"]), typed)


def _date(year: int, month: int, day: int, typed: str) -> date:
    if not 1 <= month <= 12:
        raise NoSuchDate(typed, f"is no date: there is no month {month}.")
    try:
        return date(year, month, day)
    except ValueError:
        raise NoSuchDate(typed, f"is no date: {_why_not(year, month, day)}.") from None


def _why_not(year: int, month: int, day: int) -> str:
    if year < 1:
        return f"there is no year {year}"
    if day < 1:
        return "there is no day 0"
    last = next(d for d in (31, 30, 29, 28) if _exists(year, month, d))
    return f"{_MONTHS[month - 1].title()} {year} has {last} days"


def _exists(year: int, month: int, day: int) -> bool:
    try:
        date(year, month, day)
    except ValueError:
        return False
    return True


def _spoken(day: date) -> str:
    return f"{day.day} {_MONTHS[day.month - 1].title()} {day.year}"


def detect_date_order(texts: Iterable[str]) -> DateOrder | None:
    """Whether a column writes its slashed dates day or month first, when the column tells.

    Examples
    --------
    >>> detect_date_order(["03/09/2026", "14/03/2026"])
    'dmy'
    >>> detect_date_order(["03/09/2026"]) is None
    True
    """
    found: set[DateOrder] = set()
    for text in texts:
        three = _THREE.fullmatch(" ".join(text.split()))
        if three is None or three[2] == ".":
            continue
        first, second = int(three[1]), int(three[3])
        if (first > 12) == (second > 12):
            continue
        order: DateOrder = "dmy" if first > 12 else "mdy"
        try:
            parse_date(text, order)
        except UnitError:
            continue
        found.add(order)
    return found.pop() if len(found) == 1 else None
