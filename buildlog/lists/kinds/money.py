"""Currencies and rates of rows: the cell's, the column's, the builder's, else the build's."""

from __future__ import annotations

from decimal import Decimal

from buildlog.lists.kinds.base import Bringing
from buildlog.lists.records import Record
from buildlog.units import Amount, UnitError, parse_decimal

__all__ = ["currency_of", "rate_of"]


def currency_of(record: Record, bringing: Bringing, *amounts: str) -> str | None:
    """The currency of a row; None, and the row refused, if it names two or one not known.

    What its column of currencies says, else a code or sign in one of the `amounts`, else what the
    builder said for the file, else the build's.
    """
    home = bringing.answers.currency or bringing.build.currency
    column = record.get("currency")
    named: set[str] = set()
    for key in amounts:
        amount: Amount | None = record.get(key)
        if amount is None or not (amount.currency or amount.sign):
            continue
        try:
            named.add(amount.currency_or(column or home))
        except UnitError as error:
            record.refuse(key, error.rule, str(error))
            return None
    if column:
        named.add(column)
    if len(named) > 1:
        key = "currency" if column else amounts[0]
        record.refuse(key, "two-currencies", f"The row is in {' and in '.join(sorted(named))}.")
        return None
    return named.pop() if named else home


def rate_of(record: Record, currency: str, bringing: Bringing) -> Decimal | None:
    """What one of that currency is in the build's; None where nobody has said."""
    if currency == bringing.build.currency:
        return Decimal(1)
    bringing.foreign.add(currency)
    rate = record.get("rate")
    if rate is not None:
        return rate
    text = bringing.answers.rates.get(currency, "")
    try:
        return parse_decimal(text) if text else None
    except UnitError:
        return None  # the form that takes rates has refused it already


def say_foreign(bringing: Bringing) -> None:
    home = bringing.build.currency
    for currency in sorted(bringing.foreign):
        if not bringing.answers.rates.get(currency) and not bringing.found.has("rate"):
            bringing.note(
                f"Amounts in {currency} come in without a rate, so they are left out of the totals "
                f"in {home}. Say below what one {currency} was in {home}."
            )
