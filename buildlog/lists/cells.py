"""Readers: what one cell says, as a value. Thin coats over `buildlog.units`.

A reader is called with the cell's text and its column's terms; it gives the value or raises a
`UnitError`, whose `rule` says what is wrong. Blank cells never reach it.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Any, ClassVar, NamedTuple, Protocol

from buildlog.lists.fold import fold
from buildlog.units import (
    Amount,
    Count,
    DateOrder,
    DecimalMark,
    Layers,
    NegativeValue,
    NotReadable,
    TooLarge,
    UnitError,
    convert,
    find_currency,
    parse_amount,
    parse_count,
    parse_date,
    parse_decimal,
    parse_hours,
    parse_layers,
    parse_length,
    parse_quantity,
    without_idle_noughts,
)

__all__ = [
    "AmountIn", "Choice", "CountOf", "CurrencyCode", "Day", "Elapsed", "Hours", "Lag", "LayersOf",
    "Length", "Measure", "Moment", "NotOneOf", "Number", "QuantityOf", "Reader", "Terms", "Text",
    "TooLong", "Wait", "Whole", "YesNo",
]  # fmt: skip


class NotOneOf(UnitError):
    """The cell should say one of a few words, and says another."""

    rule = "not-one-of"


class TooLong(UnitError):
    rule = "too-long"


@dataclass(frozen=True, slots=True)
class Terms:
    """What a column's cells leave open: the unit of bare numbers, decimal mark, order of dates."""

    unit: str = ""
    decimal: DecimalMark | None = None
    order: DateOrder | None = None

    def typed(self) -> Terms:
        """The terms for a cell that the spreadsheet held as a number."""
        return replace(self, decimal=".")


class Reader(Protocol):
    """`kind` is what the preview may ask about: length, hours, number, date or "" for nothing."""

    kind: ClassVar[str]

    def __call__(self, text: str, terms: Terms) -> Any: ...


@dataclass(frozen=True, slots=True)
class Text:
    """Words. With `refers` they name something else, and a dash names nothing."""

    kind: ClassVar[str] = ""
    longest: int = 200
    lines: bool = False
    refers: bool = False

    def __call__(self, text: str, terms: Terms) -> str:
        plain = text if self.lines else " ".join(text.split())
        if len(plain) > self.longest:
            raise TooLong(text, f"is longer than the {self.longest} letters there is room for.")
        return plain


@dataclass(frozen=True, slots=True)
class YesNo:
    kind: ClassVar[str] = ""
    _words: ClassVar[Mapping[str, bool]] = {
        **dict.fromkeys(("y", "yes", "true", "t", "x", "1", "on"), True),
        **dict.fromkeys(("n", "no", "false", "f", "0", "off", "not"), False),
    }

    def __call__(self, text: str, terms: Terms) -> bool:
        if text in ("✓", "✔", "☑", "☒", "+"):
            return True
        if text in ("✗", "✘", "☐"):
            return False
        try:
            return self._words[fold(text)]
        except KeyError:
            raise NotOneOf(text, "is neither yes nor no.") from None


@dataclass(frozen=True, slots=True)
class Choice:
    """One of a few words; `words` maps each way of writing it, folded, to the value."""

    kind: ClassVar[str] = ""
    words: Mapping[str, str]

    def __call__(self, text: str, terms: Terms) -> str:
        try:
            return self.words[fold(text)]
        except KeyError:
            values = ", ".join(dict.fromkeys(self.words.values()))
            raise NotOneOf(text, f"is not one of these: {values}.") from None


@dataclass(frozen=True, slots=True)
class Hours:
    """Working time in minutes; a bare number is in the column's unit, else hours."""

    kind: ClassVar[str] = "hours"

    def __call__(self, text: str, terms: Terms) -> int:
        bare = re.fullmatch(r"-?[\d.,]+", text)
        written = f"{text} min" if bare and terms.unit == "min" else text
        return parse_hours(written, terms.decimal)


_DAYS = re.compile(r"([\d.,/½¼¾ ]+|an?|one|two|three)\s?-?(d|days?|nights?|wks?|weeks?)\.?", re.I)
_WORDS = {"a": "1", "an": "1", "one": "1", "two": "2", "three": "3"}


@dataclass(frozen=True, slots=True)
class Elapsed:
    """Time by the clock in minutes, such as a cure; a day is 24 hours."""

    kind: ClassVar[str] = "hours"

    def __call__(self, text: str, terms: Terms) -> int:
        days = _DAYS.fullmatch(text)
        if days is None and terms.unit == "d" and re.fullmatch(r"[\d.,]+", text):
            return round(parse_decimal(text, terms.decimal) * 1440)
        if days is None:
            return Hours()(text, terms)
        number = _WORDS.get(days[1].lower().strip(), days[1].strip())
        one = 7 if days[2].lower().startswith("w") else 1
        return round(parse_quantity(number, "each", terms.decimal).value * one * 1440)


class Lag(NamedTuple):
    """A wait: minutes, and `shop` or `elapsed` where the cell says which."""

    minutes: int
    passes_in: str = ""


_CLOCK_WORDS = re.compile(
    r"\b(?:(?:to |for |of )?(?:cur(?:e|es|ing)|dry(?:ing)?|set(?:ting)?|elapsed|by the clock|clock"
    r"|around the clock|after glu(?:e|ing)))\b", re.I,
)  # fmt: skip
_SHOP_WORDS = re.compile(r"\b(?:(?:in |of )?(?:shop|working|work|shed))\b", re.I)


@dataclass(frozen=True, slots=True)
class Wait:
    """A lag as written: `4`, `24 h cure`, `1 day`, `2 shop h`, `-3`.

    Days, nights and weeks pass by the clock, and so does a cure.
    """

    kind: ClassVar[str] = "hours"

    def __call__(self, text: str, terms: Terms) -> Lag:
        cures, shop = bool(_CLOCK_WORDS.search(text)), bool(_SHOP_WORDS.search(text))
        body = " ".join(_SHOP_WORDS.sub(" ", _CLOCK_WORDS.sub(" ", text)).split())
        sign = -1 if body[:1] in "-−–" and len(body) > 1 else 1
        body = body[1:].lstrip() if sign < 0 else body
        if not body or (cures and shop):
            raise NotReadable(text, "is not a wait. Write it as 24 h cure, 1 day or 4 shop h.")
        days = _DAYS.fullmatch(body) or terms.unit == "d"
        if days and shop:
            raise NotReadable(text, "counts shop days, and those differ in length. Give shop h.")
        try:
            minutes = Elapsed()(body, terms)
        except UnitError as error:
            raise type(error)(text, error.reason) from None
        return Lag(sign * minutes, "elapsed" if cures or days else "shop" if shop else "")


@dataclass(frozen=True, slots=True)
class Whole:
    """A whole number from `least` on; small ones may be words."""

    kind: ClassVar[str] = ""
    least: int = 0
    most: int = 32_767

    def __call__(self, text: str, terms: Terms) -> int:
        number = parse_count(text).number
        if number < self.least:
            raise NotReadable(text, f"is too small: the least is {self.least}.")
        if number > self.most:
            raise TooLarge(text, f"is too large: the most is {self.most}.")
        return number


@dataclass(frozen=True, slots=True)
class CountOf:
    """How many pieces, and whether they are mirrored pairs."""

    kind: ClassVar[str] = ""

    def __call__(self, text: str, terms: Terms) -> Count:
        count = parse_count(text)
        if count.number < 1:
            raise NotReadable(text, "is no piece at all: the least is 1.")
        return count


@dataclass(frozen=True, slots=True)
class Length:
    """Millimetres, exact."""

    kind: ClassVar[str] = "length"

    def __call__(self, text: str, terms: Terms) -> Decimal:
        return _some(parse_length(text, terms.unit or None, terms.decimal), text)


@dataclass(frozen=True, slots=True)
class LayersOf:
    """A thickness, perhaps in layers."""

    kind: ClassVar[str] = "length"

    def __call__(self, text: str, terms: Terms) -> Layers:
        layers = parse_layers(text, terms.unit or None, terms.decimal)
        _some(layers.each, text)
        return layers


def _some(value: Decimal, text: str) -> Decimal:
    if value <= 0:
        raise NotReadable(text, "is no length: leave the cell empty if there is none.")
    return value


@dataclass(frozen=True, slots=True)
class Number:
    """A plain number; `unit`, such as %, may stand behind it."""

    kind: ClassVar[str] = "number"
    unit: str = ""
    least: Decimal | None = Decimal(0)
    most: Decimal | None = None
    places: int = 4

    def __call__(self, text: str, terms: Terms) -> Decimal:
        plain = text.removesuffix(self.unit).strip() if self.unit else text
        value = parse_decimal(plain, terms.decimal)
        return _within(value, text, self.least, self.most, self.places)


def _within(
    value: Decimal, text: str, least: Decimal | None, most: Decimal | None, places: int
) -> Decimal:
    if least is not None and value < least:
        if least == 0:
            raise NegativeValue(text, "is less than nothing.")
        raise NotReadable(text, f"is too small: the least is {least}.")
    if most is not None and value > most:
        raise TooLarge(text, f"is too large: the most is {most}.")
    if value != round(value, places):
        raise TooLong(text, f"has more than {places} decimals.")
    return without_idle_noughts(value)  # a field counts decimals, and these say nothing


@dataclass(frozen=True, slots=True)
class Measure:
    """A number with its unit, given in `unit`; a bare one is in the column's unit or in that."""

    kind: ClassVar[str] = "number"
    dimension: str
    unit: str
    least: Decimal | None = Decimal("0.01")
    most: Decimal | None = None
    places: int = 2

    def __call__(self, text: str, terms: Terms) -> Decimal:
        found = parse_quantity(text, terms.unit or self.unit, terms.decimal, self.dimension)
        value = found.value
        if found.unit != self.unit:
            value = round(convert(value, found.unit, self.unit), self.places)
        return _within(value, text, self.least, self.most, self.places)


class Some(NamedTuple):
    """An amount of a material; `unit` is "" where the cell gave none."""

    value: Decimal
    unit: str


@dataclass(frozen=True, slots=True)
class QuantityOf:
    """How much of something, with or without a unit."""

    kind: ClassVar[str] = "number"
    zero: bool = False

    def __call__(self, text: str, terms: Terms) -> Some:
        try:
            found = parse_quantity(text, None, terms.decimal)
            some = Some(found.value, found.unit)
        except UnitError as error:
            if error.rule != "no-unit":
                words = re.fullmatch(r"[a-z]+", text, re.I)
                if not words:
                    raise
                some = Some(Decimal(parse_count(text).number), "")
            else:
                some = Some(parse_quantity(text, "each", terms.decimal).value, "")
        if some.value < 0:
            raise NegativeValue(text, "is less than nothing.")
        if some.value == 0 and not self.zero:
            raise NotReadable(text, "is nothing at all: leave the row out, or say how much.")
        return some._replace(value=_within(some.value, text, None, Decimal(10) ** 10, 4))


@dataclass(frozen=True, slots=True)
class AmountIn:
    """An amount of money, with or without its currency."""

    kind: ClassVar[str] = "number"

    def __call__(self, text: str, terms: Terms) -> Amount:
        amount = parse_amount(text, terms.decimal)
        if amount.value < 0:
            raise NegativeValue(text, "is less than nothing.")
        return amount._replace(value=_within(amount.value, text, None, Decimal(10) ** 10, 4))


@dataclass(frozen=True, slots=True)
class CurrencyCode:
    kind: ClassVar[str] = ""

    def __call__(self, text: str, terms: Terms) -> str:
        if not re.fullmatch(r"[A-Za-z]{3}", text):
            amount = parse_amount(f"1 {text}")
            if amount.currency:
                return amount.currency
        return find_currency(text.upper()).code


@dataclass(frozen=True, slots=True)
class Day:
    kind: ClassVar[str] = "date"

    def __call__(self, text: str, terms: Terms) -> dt.date:
        day = parse_date(text, terms.order)
        if not 1900 <= day.year <= 2200:
            raise NotReadable(text, f"is in the year {day.year}; check it.")
        return day


_TIME = re.compile(r"[T ](\d{1,2}):(\d{2})(?::\d{2}(?:\.\d+)?)?\s?([-+]\d{2}:?\d{2}|Z)?$")


@dataclass(frozen=True, slots=True)
class Moment:
    """A day with or without a time of day; the time may carry its offset from UTC.

    A day alone is its noon; where `timed`, it is refused.
    """

    kind: ClassVar[str] = "date"
    noon: dt.time = field(default=dt.time(12))
    timed: bool = False

    def __call__(self, text: str, terms: Terms) -> dt.datetime:
        day = Day()(text, terms)
        match = _TIME.search(text)
        if match is None and self.timed:
            raise NotReadable(text, "has no time of day. Write it as 2026-05-02 09:30.")
        if match is None:
            return dt.datetime.combine(day, self.noon)
        hour, minute = int(match[1]), int(match[2])
        if hour > 23 or minute > 59:
            raise NotReadable(text, f"has no such time of day: {match[1]}:{match[2]}.")
        zone = None
        if match[3]:
            shift = "+0000" if match[3] == "Z" else match[3].replace(":", "")
            zone = dt.datetime.strptime(shift, "%z").tzinfo
        return dt.datetime.combine(day, dt.time(hour, minute), tzinfo=zone)
