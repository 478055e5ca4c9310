"""Read decimal numbers as people and spreadsheets write them.

The rule for commas and points
------------------------------
* Both occur: the later one marks the decimals (``1.168,89``, ``1,234.50``).
* One occurs more than once: it parts thousands (``1.234.567``).
* One occurs once, and what follows is not exactly three digits, or what stands before it is
  nought, nothing or more than three digits: it marks the decimals (``240,38``, ``0.385``).
* One occurs once with one to three digits before and exactly three after (``1,250``): it may be
  either. The ``decimal`` argument settles it; without it the text is refused, never guessed.

``decimal`` settles only what is open: ``84.70`` in a comma column is still 84.70.
Spaces and apostrophes between groups of three part thousands (``1 168,89``, ``1'168.89``).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from .errors import AmbiguousNumber, NotReadable, TooLarge, UnitError, ZeroDenominator
from .text import tidy

__all__ = [
    "DecimalMark",
    "detect_decimal",
    "group",
    "parse_decimal",
    "round_half_even",
    "typed_number",
    "without_idle_noughts",
]

DecimalMark = Literal[",", "."]

MOST_DIGITS = 18
_NUMBER = re.compile(r"[\d.,' ]*\d[.]?", re.ASCII)
_SPACED = re.compile(r"\d{1,3}(?:[ ']\d{3})+(?=[.,]|$)", re.ASCII)
_GROUPED = {
    ",": re.compile(r"\d{1,3}(?:,\d{2,3})*,\d{3}", re.ASCII),
    ".": re.compile(r"\d{1,3}(?:\.\d{3})+", re.ASCII),
}
_EITHER = re.compile(r"[1-9]\d{0,2}[.,]\d{3}", re.ASCII)


def mark_of(body: str) -> tuple[DecimalMark | None, bool]:
    """The mark that must be the decimal one in ``body``, and whether it is open.

    ``(None, False)`` means that nothing in the number tells (no mark at all).
    """
    last = max(body.rfind(","), body.rfind("."))
    if last < 0:
        return None, False
    mark: DecimalMark = "," if body[last] == "," else "."
    other: DecimalMark = "." if mark == "," else ","
    if other in body:
        return mark, False
    if body.count(mark) > 1:
        return other, False
    return mark, _EITHER.fullmatch(body) is not None


def to_decimal(body: str, typed: str, decimal: DecimalMark | None) -> Decimal:
    """An unsigned number without unit, already tidied, as an exact ``Decimal``."""
    number = body if body.isascii() and body.isdigit() else _plain_number(body, typed, decimal)
    if len(number) > MOST_DIGITS:
        raise TooLarge(typed, f"has more than {MOST_DIGITS} digits; check it.")
    return Decimal(number)


def _plain_number(body: str, typed: str, decimal: DecimalMark | None) -> str:
    spaced = _SPACED.match(body)
    if spaced:
        body = re.sub("[ ']", "", spaced.group()) + body[spaced.end() :]
        if "," in body and "." in body:
            raise NotReadable(typed, "mixes three marks in one number.")
        return _checked(body.replace(",", "."), typed)
    mark, is_open = mark_of(body)
    if is_open:
        if decimal is None:
            raise AmbiguousNumber(typed, _which(body))
        mark = decimal
    if mark is None:
        return _checked(body, typed)
    thousands = "." if mark == "," else ","
    whole, _, part = body.partition(mark)
    if thousands in whole:
        if not _GROUPED[thousands].fullmatch(whole):
            raise NotReadable(typed, "has its thousands parted in the wrong places.")
        whole = whole.replace(thousands, "")
    return _checked(f"{whole or '0'}.{part}" if part else whole, typed)


def _checked(number: str, typed: str) -> str:
    if not re.fullmatch(r"\d+(\.\d+)?", number, re.ASCII):
        raise NotReadable(typed, "is not a number.")
    return number


def _which(body: str) -> str:
    small = body.replace(",", ".")
    large = body.replace(",", "").replace(".", "")
    return f"may be {small} or {large}: say whether comma or point marks the decimals."


def parse_decimal(text: str, decimal: DecimalMark | None = None) -> Decimal:
    """Read a number with either decimal mark; see the rule at the top of this module.

    Parameters
    ----------
    text
        A number without unit or currency; it may carry a sign.
    decimal
        The decimal mark, ``","`` or ``"."``, where it is known; settles open cases only.

    Returns
    -------
    Decimal
        The exact value.

    Raises
    ------
    AmbiguousNumber
        When the mark may be either and ``decimal`` is None.
    NotReadable, TooLarge
        When the text is not a number, or has more than 18 characters of one.

    Examples
    --------
    >>> parse_decimal("1.168,89"), parse_decimal("1,234.50"), parse_decimal("240,38")
    (Decimal('1168.89'), Decimal('1234.50'), Decimal('240.38'))
    >>> parse_decimal("1,250", decimal=",")
    Decimal('1.250')
    >>> parse_decimal("1,250")
    Traceback (most recent call last):
    buildlog.units.errors.AmbiguousNumber: “1,250” may be 1.250 or 1250: say whether comma or ...
    """
    body = tidy(text, "a number")
    sign, body = _sign(body)
    if not _NUMBER.fullmatch(body):
        raise NotReadable(text.strip(), "is not a number.")
    value = to_decimal(body, text.strip(), decimal)
    return -value if sign < 0 else value


def _sign(body: str) -> tuple[int, str]:
    if body[0] in "+-":
        return (-1 if body[0] == "-" else 1), body[1:].lstrip()
    return 1, body


def detect_decimal(texts: Iterable[str]) -> DecimalMark | None:
    """The decimal mark that a column of numbers uses, when the column tells.

    Only cells that can be read in one way count. None means that none of them tells, or that
    they disagree; then every clear cell still reads by itself, and an open one must be asked.

    Examples
    --------
    >>> detect_decimal(["1,250", "2,5", "3"])
    ','
    >>> detect_decimal(["1,250", "3"]) is None
    True
    >>> detect_decimal(["240,38", "51.55"]) is None
    True
    """
    found: set[DecimalMark] = set()
    for text in texts:
        for body in re.findall(r"\d[\d.,]*", text):
            body = body.rstrip(".,")
            try:
                mark, is_open = mark_of(body)
                to_decimal(body, text, mark)
            except UnitError:
                continue
            if mark is not None and not is_open:
                found.add(mark)
    return found.pop() if len(found) == 1 else None


def fraction(numerator: str, denominator: str, typed: str) -> Fraction:
    """``numerator/denominator``; a nought below the line is named."""
    if len(numerator) > 6 or len(denominator) > 6:
        raise TooLarge(typed, "has a fraction with more than six digits; check it.")
    if int(denominator) == 0:
        raise ZeroDenominator(
            typed, f"has 0 below the line: {numerator}/{denominator} is not a fraction."
        )
    return Fraction(int(numerator), int(denominator))


def round_half_even(value: Fraction, places: int) -> Decimal:
    """Round an exact fraction once, half to even, to ``places`` decimals.

    Examples
    --------
    >>> round_half_even(Fraction(127, 320), 6)
    Decimal('0.396875')
    """
    scaled = round(value * 10**places)
    digits = tuple(int(d) for d in str(abs(scaled)))
    return Decimal((int(scaled < 0), digits, -places))


def without_idle_noughts(number: Decimal) -> Decimal:
    """The same number with no decimals that say nothing, and no exponent.

    Examples
    --------
    >>> without_idle_noughts(Decimal("12.1250")), without_idle_noughts(Decimal("500.00"))
    (Decimal('12.125'), Decimal('500'))
    """
    whole = number.to_integral_value()
    return Decimal(int(whole)) if number == whole else number.normalize()


def typed_number(number: Decimal) -> str:
    """A number as text that reads back as the same, whichever decimal mark the reader expects.

    1.125 might be read as eleven hundred and twenty-five; 1.1250 may not.

    Examples
    --------
    >>> typed_number(Decimal("1.250")), typed_number(Decimal("1.125")), typed_number(Decimal("-3"))
    ('1.25', '1.1250', '-3')
    """
    text = f"{without_idle_noughts(number):f}"
    return f"{text}0" if _EITHER.fullmatch(text.lstrip("-")) else text


def group(number: str, decimal: DecimalMark = ".", mark: str = "\u202f", above: int = 3) -> str:
    """Set a plain decimal number with thousands parted by a narrow no-break space.

    ``above`` is the number of whole digits that still stand unparted.

    Examples
    --------
    >>> group("12500.5", ",", mark=" ")
    '12 500,5'
    """
    whole, _, part = number.partition(".")
    if len(whole) > above:
        head = len(whole) % 3
        groups = [whole[:head]] if head else []
        groups += [whole[i : i + 3] for i in range(head, len(whole), 3)]
        whole = mark.join(groups)
    return f"{whole}{decimal}{part}" if part else whole
