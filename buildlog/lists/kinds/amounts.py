"""Amounts of a material in what it is counted in."""

from __future__ import annotations

from decimal import Decimal

from buildlog.lists.cells import Some
from buildlog.materials.models import Material
from buildlog.units import UnitError, UnknownUnit, convert, unit_name

__all__ = ["COUNTED_IN", "in_its_unit", "unit_of_word"]

_SYMBOL = {"litre": "L"}
COUNTED_IN = {
    "sheet": "sheet",
    "length": "length",
    "kg": "kg",
    "L": "litre",
    "m": "m",
    "each": "each",
}
"""Symbol of a unit to what the catalogue calls it."""
_SINGLES = frozenset(("each", "sheet", "length"))


def unit_of_word(word: str) -> str:
    """The unit of a new material that a list counts in `word`, or "" where it is none of them."""
    try:
        return COUNTED_IN.get(unit_name(word), "") if word else ""
    except UnitError:
        return ""


def in_its_unit(some: Some, material: Material, unit: str = "") -> Decimal:
    """How much of the material that is, in what it is counted in.

    `unit` is what the row's own column of units says, for an amount without one. A pack is as
    many as the material is sold in; one piece of sheet or timber is one of it.

    Raises
    ------
    UnknownUnit
        It cannot be counted so.
    """
    given = some.unit or (unit_name(unit) if unit else "")
    home = _SYMBOL.get(material.unit, material.unit)
    if not given or given == home:
        return some.value
    if given == "pack" and material.pack > 1:
        return some.value * material.pack
    if given == "each" and home in _SINGLES:
        return some.value
    if home in _SINGLES or given in _SINGLES or given in ("pack", "roll", "tin"):
        raise UnknownUnit("", f"{material.name} is counted in {material.unit}, not in {given}.")
    try:
        return round(convert(some.value, given, home), 4)
    except UnitError:
        raise UnknownUnit(
            "", f"{material.name} is counted in {material.unit}, not in {given}."
        ) from None
