"""Money: read an amount, round it to the coin, show it, spread it over lines.

Amounts are exact decimals all the way; ``round_to_minor`` is for the end of a sum, half to even.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import ROUND_HALF_EVEN, Decimal, localcontext
from math import lcm
from typing import Literal, NamedTuple

from .currencies import CURRENCIES, currencies_of_sign, find_currency
from .errors import NotReadable, UnitError, UnknownCurrency
from .numbers import DecimalMark, group, parse_decimal
from .text import tidy

__all__ = ["Amount", "format_money", "parse_amount", "round_to_minor", "spread"]

_SIGNS = sorted({row.sign for row in CURRENCIES.values() if row.sign}, key=len, reverse=True)
_MARK = "|".join(map(re.escape, (*_SIGNS, *CURRENCIES)))
_AMOUNT = re.compile(
    rf"""
    (?P<open>\()?\ ?(?P<minus>[-+])?\ ?
    (?P<front>{_MARK})?\.?\ ?(?P<minus2>-)?\ ?
    (?P<number>\d(?:[\d.,' ]*\d)?|[.,]\d+)
    \ ?(?P<minus3>-)?(?:,-|\.-|,--)?\ ?(?P<back>{_MARK})?\.?\ ?(?P<close>\))?
    """,
    re.VERBOSE | re.IGNORECASE,
)


class Amount(NamedTuple):
    """An amount as read.

    ``currency`` is the ISO code when a code, or a sign that only one currency uses, stood with
    it; ``sign`` is the sign as typed (``"$"``) or "". Both empty: no currency was given.
    """

    value: Decimal
    currency: str | None
    sign: str

    def currency_or(self, home: str) -> str:
        """The currency meant in a build whose own one is ``home``.

        Without a mark it is ``home``; a shared sign such as ``$`` is ``home`` if that uses it.

        Raises
        ------
        UnknownCurrency
            When the sign is shared by several currencies and ``home`` is none of them.
        """
        if self.currency:
            return self.currency
        if not self.sign:
            return home
        shared = [code for code, row in CURRENCIES.items() if row.sign == self.sign]
        if home in shared:
            return home
        raise UnknownCurrency(
            self.sign, f"may be any of {', '.join(shared[:6])}: give the currency's code."
        )


def parse_amount(text: str, decimal: DecimalMark | None = None) -> Amount:
    """Read an amount of money with or without its currency.

    Parameters
    ----------
    text
        Such as ``1.168,89``, ``€ 51.55``, ``$1,234.50``, ``USD 12``, ``-3.20``, ``(84.70)``.
    decimal
        The decimal mark where it is known; see ``numbers``.

    Raises
    ------
    NotReadable, AmbiguousNumber, UnknownCurrency, TooLarge

    Examples
    --------
    >>> parse_amount("€ 51.55")
    Amount(value=Decimal('51.55'), currency='EUR', sign='€')
    >>> parse_amount("1.168,89").value, parse_amount("$1,234.50").currency_or("NZD")
    (Decimal('1168.89'), 'NZD')
    >>> parse_amount("abc")
    Traceback (most recent call last):
    buildlog.units.errors.NotReadable: “abc” is not an amount of money. Write it as 84.70 or ...
    """
    typed = text.strip()
    match = _AMOUNT.fullmatch(tidy(text, "an amount"))
    if match is None or (match["open"] is None) != (match["close"] is None):
        raise NotReadable(typed, "is not an amount of money. Write it as 84.70 or EUR 84.70.")
    try:
        value = parse_decimal(match["number"], decimal)
    except UnitError as error:
        raise type(error)(typed, error.reason) from None
    minuses = [match["open"], match["minus2"], match["minus3"], match["minus"] == "-"]
    if sum(map(bool, minuses)) > 1:
        raise NotReadable(typed, "has more than one minus.")
    currency, sign = _currency(match["front"], match["back"], typed)
    return Amount(-value if any(minuses) else value, currency, sign)


def _currency(front: str | None, back: str | None, typed: str) -> tuple[str | None, str]:
    codes: set[str] = set()
    sign = ""
    for mark in (front, back):
        if not mark:
            continue
        if mark.upper() in CURRENCIES:
            codes.add(mark.upper())
        else:
            sign = next((s for s in _SIGNS if s.casefold() == mark.casefold()), mark)
    if not codes and sign:
        one = currencies_of_sign(sign)
        return (one[0] if len(one) == 1 else None), sign
    if len(codes) > 1:
        raise UnknownCurrency(typed, "names two currencies.")
    return (codes.pop() if codes else None), sign


def round_to_minor(amount: Decimal, currency: str) -> Decimal:
    """An amount rounded to the currency's minor unit, half to even, once, at the end of a sum.

    Raises
    ------
    UnknownCurrency

    Examples
    --------
    >>> round_to_minor(Decimal("2.345"), "EUR"), round_to_minor(Decimal("2.5"), "JPY")
    (Decimal('2.34'), Decimal('2'))
    """
    step = Decimal((0, (1,), -find_currency(currency).minor_unit))
    with localcontext(prec=60):
        return amount.quantize(step, rounding=ROUND_HALF_EVEN) + 0


def format_money(
    amount: Decimal,
    currency: str,
    decimal: DecimalMark = ".",
    mark: Literal["sign", "code", "none"] = "sign",
) -> str:
    """An amount for reading, rounded to the minor unit, thousands parted by a narrow space.

    A sign is used where it means one currency only; ``$`` is many, so those show their code.

    Examples
    --------
    >>> format_money(Decimal("1168.885"), "EUR").replace("\\u202f", " ")
    '€1 168.88'
    >>> format_money(Decimal("-4"), "USD").replace("\\u00a0", " "), format_money(Decimal(9), "KWD")
    ('−USD 4.00', 'KWD\\xa09.000')
    """
    rounded = round_to_minor(amount, currency)
    row = find_currency(currency)
    number = group(f"{abs(rounded):f}", decimal)
    minus = "−" if rounded < 0 else ""
    if mark == "none":
        return f"{minus}{number}"
    if mark == "sign" and currencies_of_sign(row.sign) == (row.code,):
        gap = "" if len(row.sign) == 1 else "\u00a0"
        return f"{minus}{row.sign}{gap}{number}"
    return f"{minus}{row.code}\u00a0{number}"


def spread(total: Decimal, weights: Sequence[Decimal], currency: str) -> list[Decimal]:
    """Spread freight or tax over lines in proportion, whole coins, the sum exactly ``total``.

    Each line gets its share rounded down to the coin; the coins left over go to the lines that
    lost most by that, the earlier first (method of largest remainders).

    Parameters
    ----------
    total
        The amount to spread; rounded to the minor unit first.
    weights
        Each line's net value, none below zero. All nought: spread evenly.

    Raises
    ------
    ValueError
        No lines to spread over, or a weight below zero.

    Examples
    --------
    >>> spread(Decimal("10.00"), [Decimal(1), Decimal(1), Decimal(1)], "EUR")
    [Decimal('3.34'), Decimal('3.33'), Decimal('3.33')]
    """
    if not weights:
        raise ValueError("there are no lines to spread the amount over")
    if any(weight < 0 for weight in weights):
        raise ValueError("a line's value cannot be below zero when an amount is spread over it")
    places = find_currency(currency).minor_unit
    coins = int(round_to_minor(total, currency).scaleb(places))
    sign = -1 if coins < 0 else 1
    parts = _whole_numbers(weights)
    whole = sum(parts)
    shares = [divmod(abs(coins) * part, whole) for part in parts]
    given = [share for share, _ in shares]
    order = sorted(range(len(shares)), key=lambda i: -shares[i][1])
    for i in order[: abs(coins) - sum(given)]:
        given[i] += 1
    return [_in_coins(sign * coin, places) for coin in given]


def _whole_numbers(weights: Sequence[Decimal]) -> list[int]:
    """Whole numbers in the proportion of the weights; ones where all are nought."""
    ratios = [weight.as_integer_ratio() for weight in weights]
    common = lcm(*(below for _, below in ratios))
    parts = [above * (common // below) for above, below in ratios]
    return parts if any(parts) else [1] * len(parts)


def _in_coins(coins: int, places: int) -> Decimal:
    """An amount from its number of coins, however long."""
    return Decimal((int(coins < 0), tuple(map(int, str(abs(coins)))), -places))
