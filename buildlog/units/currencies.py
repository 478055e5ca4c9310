"""Currencies: code, minor unit and sign, from the ISO 4217 list.

The minor unit is the number of decimals of the smallest coin that the standard counts in. The
table holds the currencies that a builder is likely to meet, and every one whose minor unit is
not two, so that a missing code is refused instead of being taken for two.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

from .errors import UnknownCurrency

__all__ = ["CURRENCIES", "Currency", "currencies_of_sign", "find_currency"]


@dataclass(frozen=True, slots=True)
class Currency:
    """One currency: ISO 4217 code, decimals of its minor unit, usual sign ("" if none), name."""

    code: str
    minor_unit: int
    sign: str
    name: str


_TABLE = """\
AED 2 - UAE dirham
ARS 2 $ Argentine peso
AUD 2 $ Australian dollar
BGN 2 лв Bulgarian lev
BHD 3 - Bahraini dinar
BIF 0 - Burundi franc
BRL 2 R$ Brazilian real
CAD 2 $ Canadian dollar
CHF 2 - Swiss franc
CLF 4 - Unidad de fomento
CLP 0 $ Chilean peso
CNY 2 ¥ Yuan renminbi
COP 2 $ Colombian peso
CZK 2 Kč Czech koruna
DJF 0 - Djibouti franc
DKK 2 kr Danish krone
EGP 2 - Egyptian pound
EUR 2 € Euro
FJD 2 $ Fiji dollar
GBP 2 £ Pound sterling
GEL 2 ₾ Lari
GIP 2 £ Gibraltar pound
GNF 0 - Guinean franc
HKD 2 $ Hong Kong dollar
HUF 2 Ft Forint
IDR 2 Rp Rupiah
ILS 2 ₪ New Israeli sheqel
INR 2 ₹ Indian rupee
IQD 3 - Iraqi dinar
ISK 0 kr Iceland krona
JOD 3 - Jordanian dinar
JPY 0 ¥ Yen
KES 2 - Kenyan shilling
KMF 0 - Comorian franc
KRW 0 ₩ Won
KWD 3 - Kuwaiti dinar
LKR 2 - Sri Lanka rupee
LYD 3 - Libyan dinar
MAD 2 - Moroccan dirham
MXN 2 $ Mexican peso
MYR 2 RM Malaysian ringgit
NGN 2 ₦ Naira
NOK 2 kr Norwegian krone
NZD 2 $ New Zealand dollar
OMR 3 - Rial Omani
PEN 2 - Sol
PHP 2 ₱ Philippine peso
PLN 2 zł Zloty
PYG 0 ₲ Guarani
RON 2 - Romanian leu
RSD 2 - Serbian dinar
RUB 2 ₽ Russian rouble
RWF 0 - Rwanda franc
SAR 2 - Saudi riyal
SEK 2 kr Swedish krona
SGD 2 $ Singapore dollar
THB 2 ฿ Baht
TND 3 - Tunisian dinar
TRY 2 ₺ Turkish lira
TWD 2 $ New Taiwan dollar
UAH 2 ₴ Hryvnia
UGX 0 - Uganda shilling
USD 2 $ US dollar
UYI 0 - Uruguay peso in indexed units
UYU 2 $ Peso uruguayo
UYW 4 - Unidad previsional
VND 0 ₫ Dong
VUV 0 - Vatu
XAF 0 - CFA franc BEAC
XOF 0 - CFA franc BCEAO
XPF 0 - CFP franc
ZAR 2 R Rand
"""


def _row(line: str) -> Currency:
    code, minor, sign, name = line.split(maxsplit=3)
    return Currency(code, int(minor), "" if sign == "-" else sign, name)


CURRENCIES: MappingProxyType[str, Currency] = MappingProxyType(
    {row.code: row for row in map(_row, _TABLE.splitlines())}
)
"""All currencies of the table by code."""


def find_currency(code: str) -> Currency:
    """The currency with this ISO 4217 code, in either case.

    Raises
    ------
    UnknownCurrency

    Examples
    --------
    >>> find_currency("kwd").minor_unit
    3
    """
    currency = CURRENCIES.get(code.strip().upper())
    if currency is None:
        raise UnknownCurrency(code, "is not a currency code known here. Give one such as EUR.")
    return currency


def currencies_of_sign(sign: str) -> tuple[str, ...]:
    """The codes that use this sign; several for ``$``, none for an unknown sign.

    ``€``, ``£`` and ``¥`` in a builder's list mean EUR, GBP and JPY: the small currencies that
    share a sign with them are left to their code.

    Examples
    --------
    >>> currencies_of_sign("€"), len(currencies_of_sign("$")) > 1
    (('EUR',), True)
    """
    first = {"£": "GBP", "¥": "JPY"}.get(sign)
    if first:
        return (first,)
    return tuple(code for code, row in CURRENCIES.items() if row.sign == sign and sign)
