"""The takeoff by kind, with what each kind weighs and costs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from buildlog.materials import takeoff
from buildlog.materials.models import ZERO, Material, Part
from buildlog.materials.need import MaterialRow, Needs


@dataclass(frozen=True, slots=True)
class KindRows:
    kind: Material.Kind
    rows: list[MaterialRow]

    @property
    def cost(self) -> Decimal:
        """What is still to buy costs, as far as prices are known."""
        return sum((row.cost for row in self.rows if row.cost is not None), ZERO)

    @property
    def unpriced(self) -> int:
        return sum(row.cost is None for row in self.rows)

    @property
    def mass_kg(self) -> Decimal:
        """Net weight of parts not yet made, as far as it is known."""
        masses = (row.need.mass_kg for row in self.rows)
        return sum((mass for mass in masses if mass is not None), ZERO)

    @property
    def unweighed(self) -> int:
        return sum(row.need.mass_kg is None and bool(row.need.net) for row in self.rows)

    @property
    def cut_short(self) -> bool:
        """Whether cutting asks for more of any than its area or length would."""
        return any(row.to_buy > row.need.by_amount for row in self.rows)

    @property
    def hurts(self) -> bool:
        """Whether working it can harm skin, eyes or lungs."""
        return self.kind in (Material.Kind.RESIN, Material.Kind.COATING)


def by_kind(rows: Iterable[MaterialRow]) -> list[KindRows]:
    """Kinds that have any row, in the order of the catalogue."""
    found: dict[str, list[MaterialRow]] = {}
    for row in rows:
        found.setdefault(row.material.kind, []).append(row)
    return [KindRows(kind, found[kind]) for kind in Material.Kind if kind in found]


@dataclass(frozen=True, slots=True)
class Doubt:
    """A part that cannot be reckoned, or cannot be cut from what is sold, and why."""

    part: int
    material: int
    reason: str


MOST_DOUBTS = 50


def doubts_of(needs: Needs) -> tuple[list[Doubt], int]:
    """The first of them, and how many there are in all. One query."""
    found: list[tuple[Any, Any, str]] = [  # keys of the takeoff are those of rows
        (problem.part, problem.material, problem.reason) for problem in needs.problems
    ]
    found += [(part, row.material.pk, "") for row in needs.materials for part in row.need.too_big]
    shown = found[:MOST_DOUBTS]
    names = dict(
        Part.objects.filter(pk__in=[part for part, _, reason in shown if not reason])
        .values_list("pk", "name")
    )  # fmt: skip
    too_big = {row.material.pk: _too_big(row.need, row.material) for row in needs.materials}
    doubts = [
        Doubt(part, material, reason or f"{names.get(part, 'A part')}: {too_big[material]}")
        for part, material, reason in shown
    ]
    return doubts, len(found)


def _too_big(need: takeoff.MaterialNeed, material: Material) -> str:
    sold = "sheet" if material.kind == Material.Kind.SHEET else "length"
    return (
        f"it does not come out of one {sold} of {material.name}. Let it be scarfed, choose "
        f"a larger one, or correct its size."
    )
