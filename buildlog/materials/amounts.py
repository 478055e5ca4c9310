"""Amounts of a material as people write them, in what it is counted in: `500 g`, `2 packs`, `3`."""

from __future__ import annotations

from decimal import Decimal

from buildlog.materials.models import Material
from buildlog.units import NegativeValue, TooLarge, UnitError, UnknownUnit, convert, parse_quantity

__all__ = ["LEDGER", "read_amount"]

LEDGER = Decimal("0.0001")  # the finest amount that is kept
MOST = Decimal(999_999_999)
_SYMBOL: dict[str, str] = {Material.Unit.LITRE: "L"}
_SINGLES = frozenset({"each", "sheet", "length"})


def read_amount(text: str, material: Material) -> Decimal:
    """How much of the material that is, in its unit. A bare number is in it already.

    A pack is as many as it is sold in; a piece of sheet or timber is one of it.

    Raises
    ------
    UnitError
        When it is no amount, is below nought, or cannot be counted so.
    """
    home = _SYMBOL.get(material.unit, material.unit)
    value, given = parse_quantity(text, default_unit=home)
    if value > MOST:
        raise TooLarge(text.strip(), "is more than the books hold; check it.")
    if value < 0:
        raise NegativeValue(text.strip(), "is less than nothing.")
    if given == home or (given == "each" and home in _SINGLES):
        return _kept(value)
    if given == "pack":
        return _kept(value * material.pack)
    try:
        if {given, home} & _SINGLES:
            raise UnknownUnit(text, "")
        return _kept(convert(value, given, home))
    except UnitError:
        raise UnknownUnit(
            text.strip(), f"is no amount of {material.name}: that is counted in {home}."
        ) from None


def _kept(value: Decimal) -> Decimal:
    return value.quantize(LEDGER)
