"""Working time where the decimal mark may be known. The grammar is that of `tasks.hours`."""

from __future__ import annotations

from fractions import Fraction

from tasks.hours import NotHours, read_hours

from .errors import NegativeValue, NotReadable, TooLarge, UnitError, ZeroDenominator
from .numbers import DecimalMark, to_decimal
from .text import tidy

__all__ = ["parse_hours"]

_ERRORS: dict[str, type[UnitError]] = {
    error.rule: error for error in (NegativeValue, TooLarge, ZeroDenominator)
}


def parse_hours(text: str, decimal: DecimalMark | None = None) -> int:
    """Read working time; a bare number is hours. Days are refused: they differ in length.

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

    def number(numeral: str) -> Fraction:
        return Fraction(to_decimal(numeral, typed, decimal))

    try:
        return read_hours(tidy(text, "a number of hours"), number=number)
    except NotHours as error:
        raise _ERRORS.get(error.rule, NotReadable)(typed, error.reason) from None
