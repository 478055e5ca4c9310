"""What can be wrong with a length, an amount, a date: one small tree of errors.

Every error names the text as it was typed and says what to do. ``rule`` is a stable word that
a table of messages, an API answer or a test can hold on to while the sentence gets better.
"""

from __future__ import annotations

from datetime import date
from typing import ClassVar

__all__ = [
    "AmbiguousDate",
    "AmbiguousNumber",
    "MissingUnit",
    "NegativeValue",
    "NoSuchDate",
    "NotReadable",
    "TooLarge",
    "UnitError",
    "UnknownCurrency",
    "UnknownUnit",
    "ZeroDenominator",
]

_ECHO = 40


def echo(text: str) -> str:
    """The typed text in quotation marks, cut where it would flood a message."""
    shown = text if len(text) <= _ECHO else text[: _ECHO - 1] + "…"
    return f"“{shown}”"


class UnitError(ValueError):
    """The text cannot be read as what was asked for.

    Attributes
    ----------
    text : str
        The text as it was typed.
    reason : str
        What is wrong and what to do, as the end of a sentence that begins with the text.
    rule : str
        A stable word for the kind of fault.
    """

    rule: ClassVar[str] = "unreadable"

    def __init__(self, text: str, reason: str) -> None:
        self.text = text
        self.reason = reason
        super().__init__(f"{echo(text)} {reason}" if text else reason)


class NotReadable(UnitError):
    """The text is not a number, length, date or whatever was expected."""


class ZeroDenominator(UnitError):
    """A fraction has nought below the line."""

    rule = "zero-denominator"


class NegativeValue(UnitError):
    """A quantity that cannot be below zero is."""

    rule = "negative"


class MissingUnit(UnitError):
    """A bare number came where no unit was agreed."""

    rule = "no-unit"


class UnknownUnit(UnitError):
    """The unit is not known, or measures something else."""

    rule = "unknown-unit"


class UnknownCurrency(UnitError):
    """The currency code or sign is not in the table."""

    rule = "unknown-currency"


class TooLarge(UnitError):
    """The value is beyond anything a boat needs; most likely a slip of the finger."""

    rule = "too-large"


class AmbiguousNumber(UnitError):
    """A comma or point may mark the decimals or the thousands; ask, do not guess."""

    rule = "ambiguous-number"


class NoSuchDate(UnitError):
    """The calendar has no such day."""

    rule = "no-such-date"


class AmbiguousDate(UnitError):
    """Day or month first? Both readings are real dates; ask, do not guess.

    ``readings`` holds the date read day first, then the date read month first.
    """

    rule = "ambiguous-date"

    def __init__(self, text: str, reason: str, readings: tuple[date, date]) -> None:
        super().__init__(text, reason)
        self.readings = readings
