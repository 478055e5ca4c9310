"""Amounts of a material in what it is counted in."""

from __future__ import annotations

from decimal import Decimal

from buildlog.lists.cells import Some
from buildlog.materials.amounts import in_its_unit
from buildlog.materials.models import Material
from buildlog.units import UnitError, unit_name

__all__ = ["COUNTED_IN", "amount_of", "unit_of_word"]

COUNTED_IN = {
    "sheet": "sheet",
    "length": "length",
    "kg": "kg",
    "L": "litre",
    "m": "m",
    "each": "each",
}
"""Symbol of a unit to what the catalogue calls it."""


def unit_of_word(word: str) -> str:
    """The unit of a new material that a list counts in `word`, or "" where it is none of them."""
    try:
        return COUNTED_IN.get(unit_name(word), "") if word else ""
    except UnitError:
        return ""


def amount_of(some: Some, material: Material, unit: str = "") -> Decimal:
    """How much of the material that is, in what it is counted in.

    `unit` is what the row's own column of units says, for an amount without one. Raises
    `UnknownUnit` where it cannot be counted so.
    """
    given = some.unit or (unit_name(unit) if unit else "")
    return in_its_unit(some.value, given, material)
