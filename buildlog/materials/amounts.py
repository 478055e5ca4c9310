"""Amounts of a material as people write them, in what it is counted in: `500 g`, `2 packs`, `3`."""

from __future__ import annotations

from decimal import Decimal

from buildlog.materials.models import Material
from buildlog.units import NegativeValue, TooLarge, UnitError, UnknownUnit, convert, parse_quantity

__all__ = ["LEDGER", "in_its_unit", "read_amount"]

LEDGER = Decimal("0.0001")  # the finest amount that is kept
MOST = Decimal(999_999_999)
_SYMBOL: dict[str, str] = {Material.Unit.LITRE: "L"}
_SINGLES = frozenset({"each", "sheet", "length"})


def read_amount(text: str, material: Material) -> Decimal:
    """How much of the material that is, in its unit. A bare number is in it already.

    Raises
    ------
    UnitError
        When it is no amount, is below nought, or cannot be counted so.
    """
    value, given = parse_quantity(text, default_unit=_home(material))
    if value > MOST:
        raise TooLarge(text.strip(), "is more than the books hold; check it.")
    if value < 0:
        raise NegativeValue(text.strip(), "is less than nothing.")
    return in_its_unit(value, given, material, text.strip()).quantize(LEDGER)


def in_its_unit(value: Decimal, given: str, material: Material, typed: str = "") -> Decimal:
    """An amount in some unit, in what the material is counted in. "" is that unit already.

    A pack is as many as the material is sold in; one piece of sheet or timber is one of it.
    `typed` is what the message says could not be counted so.

    Raises
    ------
    UnknownUnit
        It cannot be counted so.
    """
    home = _home(material)
    if given in ("", home) or (given == "each" and home in _SINGLES):
        return value
    if given == "pack":
        return value * material.pack
    try:
        if {given, home} & _SINGLES:
            raise UnknownUnit(typed, "")
        return round(convert(value, given, home), 4)
    except UnitError:
        raise UnknownUnit(
            typed or f"{value.normalize():f} {given}",
            f"is no amount of {material.name}: that is counted in {home}.",
        ) from None


def _home(material: Material) -> str:
    return _SYMBOL.get(material.unit, str(material.unit))
