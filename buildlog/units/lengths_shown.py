"""Show a length in the build's units: millimetres, or feet, inches and fractions.

Rounding happens here once, from the exact length, and is marked with ``≈``. A shown length is
for reading; sums are made of the exact ones. ``exact_length`` is for a box that will be typed
in again: it gives back the same length to the last decimal.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from .factors import find_unit
from .lengths import MM_PER_INCH
from .numbers import DecimalMark, group, round_half_even, typed_number

__all__ = ["DENOMINATORS", "ShownLength", "System", "exact_length", "format_length", "show_length"]

System = Literal["metric", "imperial"]
DENOMINATORS = (1, 2, 4, 8, 16, 32, 64)

_SET = {
    (1, 2): "½", (1, 4): "¼", (3, 4): "¾",
    (1, 8): "⅛", (3, 8): "⅜", (5, 8): "⅝", (7, 8): "⅞",
}  # fmt: skip
_RAISED = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
_LOWERED = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")


@dataclass(frozen=True, slots=True)
class ShownLength:
    """A length in the pieces a page needs.

    Metric: ``number`` and ``unit``. Imperial: ``feet``, ``inches`` (None where not shown) and the
    fraction ``numerator``/``denominator`` (0/1 where there is none).

    ``exact`` is False where the length was rounded to be shown; ``negative`` is for differences.
    """

    system: System
    exact: bool
    negative: bool = False
    number: str = ""
    unit: str = ""
    feet: int | None = None
    inches: int | None = None
    numerator: int = 0
    denominator: int = 1

    @property
    def fraction(self) -> str:
        """The fraction in type, ``⅜`` or ``⁵⁄₁₆``; empty where there is none."""
        if not self.numerator:
            return ""
        one = _SET.get((self.numerator, self.denominator))
        return one or (
            f"{str(self.numerator).translate(_RAISED)}⁄{str(self.denominator).translate(_LOWERED)}"
        )

    @property
    def text(self) -> str:
        """Plain text that ``parse_length`` reads back."""
        return self._marked(f"{self.numerator}/{self.denominator}", " ")

    @property
    def set_text(self) -> str:
        """Text with the fraction set as a fraction, for a page without markup."""
        return self._marked(self.fraction, "")

    def _marked(self, part: str, gap: str) -> str:
        sign = ("" if self.exact else "≈ ") + ("−" if self.negative else "")
        if self.system == "metric":
            return f"{sign}{self.number} {self.unit}"
        inches = []
        if self.inches is not None:
            inches.append(str(self.inches))
        if self.numerator:
            inches.append(part)
        body = gap.join(inches) + "″" if inches else ""
        feet = f"{self.feet}′" if self.feet is not None else ""
        return sign + (f"{feet} {body}" if feet and body else feet or body)


def show_length(
    mm: Decimal,
    system: System = "metric",
    denominator: int = 16,
    *,
    feet: bool = True,
    unit: str = "mm",
    places: int = 1,
    decimal: DecimalMark = ".",
) -> ShownLength:
    """A length in pieces, rounded once, half to even.

    Parameters
    ----------
    mm
        The exact length in millimetres; a difference may be negative.
    system
        ``"metric"`` or ``"imperial"``.
    denominator
        Imperial: the finest fraction of an inch, a power of two up to 64. Shown reduced.
    feet
        Imperial: whether twelve inches and more are shown as feet and inches.
    unit, places, decimal
        Metric: the unit (builders use mm at any length), most decimals shown, the decimal mark.

    Raises
    ------
    ValueError
        When an option is not one of those above.

    Examples
    --------
    >>> shown = show_length(Decimal("34.925"), "imperial")
    >>> shown.inches, shown.numerator, shown.denominator, shown.exact, shown.set_text
    (1, 3, 8, True, '1⅜″')
    """
    if system == "metric":
        return _metric(mm, unit, places, decimal)
    if system != "imperial":
        raise ValueError(f"system is “metric” or “imperial”, not {system!r}")
    if denominator not in DENOMINATORS:
        raise ValueError(f"denominator is one of {DENOMINATORS}, not {denominator!r}")
    return _imperial(mm, denominator, feet)


def _metric(mm: Decimal, unit: str, places: int, decimal: DecimalMark) -> ShownLength:
    known = find_unit(unit, "length")
    value = Fraction(mm) / known.factor
    rounded = round_half_even(abs(value), places)
    number = f"{rounded:f}"
    if "." in number:
        number = number.rstrip("0").rstrip(".")
    return ShownLength(
        system="metric",
        exact=Fraction(rounded) == abs(value),
        negative=value < 0 and rounded != 0,
        number=group(number, decimal, above=4),
        unit=known.symbol,
    )


def _imperial(mm: Decimal, denominator: int, feet: bool) -> ShownLength:
    exact = Fraction(mm) / Fraction(MM_PER_INCH)
    steps = round(abs(exact) * denominator)
    value = Fraction(steps, denominator)
    whole, part = divmod(value, 1)
    shown_feet: int | None = None
    inches: int | None = whole
    if feet and whole >= 12:
        shown_feet, inches = divmod(whole, 12)
    # Nought inches are left out beside feet or a fraction: 4′, 7/8″, but 4′ 0 1/2″.
    if inches == 0 and ((shown_feet is not None) != bool(part)):
        inches = None
    return ShownLength(
        system="imperial",
        exact=value == abs(exact),
        negative=exact < 0 and steps != 0,
        feet=shown_feet,
        inches=inches,
        numerator=part.numerator,
        denominator=part.denominator,
    )


def format_length(
    mm: Decimal,
    system: System = "metric",
    denominator: int = 16,
    *,
    feet: bool = True,
    unit: str = "mm",
    places: int = 1,
    decimal: DecimalMark = ".",
) -> str:
    """A length as plain text, marked ``≈`` where it was rounded. Options as ``show_length``.

    Examples
    --------
    >>> format_length(Decimal("1384.3"), "imperial"), format_length(Decimal(9), "imperial")
    ('4′ 6 1/2″', '≈ 3/8″')
    >>> format_length(Decimal("12.04")), format_length(Decimal(2440))
    ('≈ 12 mm', '2440 mm')
    """
    return show_length(
        mm, system, denominator, feet=feet, unit=unit, places=places, decimal=decimal
    ).text


def exact_length(mm: Decimal, system: System = "metric") -> str:
    """Text that ``parse_length`` reads back as exactly this length, told nothing more.

    For a box that will be edited and a list that will be read in again: imperial gives a fraction
    where one to 1/64 is exact, else millimetres with all decimals.

    Examples
    --------
    >>> exact_length(Decimal("44.45"), "imperial"), exact_length(Decimal("9.125"), "imperial")
    ('1 3/4″', '9.1250 mm')
    """
    if system == "imperial":
        shown = show_length(mm, "imperial", 64)
        if shown.exact:
            return shown.text
    return f"{typed_number(mm)} mm"
