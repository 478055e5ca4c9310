"""Taking materials and suppliers out: refused, with the reason, where something hangs on them."""

from __future__ import annotations

from typing import Any

from django.db.models import RestrictedError

from buildlog.materials.models import Material, Supplier
from tasks.changes import Refused


def hangs_on(material: Material) -> list[str]:
    """What keeps a material from being deleted, in words."""
    return _some(
        (material.parts, "part", "parts"),
        (material.moves, "row of the stock ledger", "rows of the stock ledger"),
        (material.purchase_lines, "line of a purchase", "lines of purchases"),
    )


def _some(*rows: tuple[Any, str, str]) -> list[str]:
    counted = [(manager.count(), one, many) for manager, one, many in rows]
    return [f"{number} {one if number == 1 else many}" for number, one, many in counted if number]


def delete_material(material: Material) -> None:
    """Delete a material that nothing hangs on, with its prices."""
    if held := hangs_on(material):
        raise Refused(f"{material} cannot be deleted: {_and(held)} hang on it, and those are kept.")
    try:
        material.delete()
    except RestrictedError:  # something came to hang on it meanwhile
        raise Refused(
            f"{material} cannot be deleted: something was added to it just now."
        ) from None


def delete_supplier(supplier: Supplier) -> None:
    """Delete a supplier nothing was bought from. Materials and prices lose its name, no more."""
    try:
        supplier.delete()
    except RestrictedError:
        held = _some((supplier.purchases, "purchase", "purchases"))
        raise Refused(
            f"{supplier} cannot be deleted: what was bought there stays in the books, {_and(held)}."
        ) from None


def _and(words: list[str]) -> str:
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last
