"""Lengths, quantities, money, hours and dates: read what people write, keep it exactly, show it.

Plain values in, plain values out: no Django, no clock, no locale. Decimal marks, date orders and
default units are arguments. Everything that cannot be read raises a ``UnitError`` that names the
text, the rule and what to do.
"""

from .counts import Count, parse_count
from .currencies import CURRENCIES, Currency, currencies_of_sign, find_currency
from .dates import DateOrder, detect_date_order, parse_date
from .errors import (
    AmbiguousDate,
    AmbiguousNumber,
    MissingUnit,
    NegativeValue,
    NoSuchDate,
    NotReadable,
    TooLarge,
    UnitError,
    UnknownCurrency,
    UnknownUnit,
    ZeroDenominator,
)
from .factors import UNITS, Unit, convert, find_unit
from .hours import parse_hours
from .lengths import LONGEST_MM, MM_PER_INCH, Layers, parse_layers, parse_length, to_mm
from .lengths_shown import (
    DENOMINATORS,
    ShownLength,
    System,
    exact_length,
    format_length,
    show_length,
)
from .money import Amount, format_money, parse_amount, round_to_minor, spread
from .numbers import (
    DecimalMark,
    detect_decimal,
    parse_decimal,
    round_half_even,
    typed_number,
    without_idle_noughts,
)
from .quantities import COUNTED, Quantity, format_quantity, parse_quantity, plural, unit_name

__all__ = [
    "COUNTED",
    "CURRENCIES",
    "DENOMINATORS",
    "LONGEST_MM",
    "MM_PER_INCH",
    "UNITS",
    "AmbiguousDate",
    "AmbiguousNumber",
    "Amount",
    "Count",
    "Currency",
    "DateOrder",
    "DecimalMark",
    "Layers",
    "MissingUnit",
    "NegativeValue",
    "NoSuchDate",
    "NotReadable",
    "Quantity",
    "ShownLength",
    "System",
    "TooLarge",
    "Unit",
    "UnitError",
    "UnknownCurrency",
    "UnknownUnit",
    "ZeroDenominator",
    "convert",
    "currencies_of_sign",
    "detect_date_order",
    "detect_decimal",
    "exact_length",
    "find_currency",
    "find_unit",
    "format_length",
    "format_money",
    "format_quantity",
    "parse_amount",
    "parse_count",
    "parse_date",
    "parse_decimal",
    "parse_hours",
    "parse_layers",
    "parse_length",
    "parse_quantity",
    "plural",
    "round_half_even",
    "round_to_minor",
    "show_length",
    "spread",
    "to_mm",
    "typed_number",
    "unit_name",
    "without_idle_noughts",
]
