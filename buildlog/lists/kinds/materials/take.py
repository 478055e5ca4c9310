from __future__ import annotations

from collections.abc import Iterator, Mapping

from buildlog.lists.kinds.base import Value
from buildlog.lists.writing import length_cell
from buildlog.materials.models import Price
from tasks.models import Build


def take(build: Build, money: bool) -> Iterator[Mapping[str, Value]]:
    imperial = build.length_system == Build.LengthSystem.IMPERIAL
    newest: dict[int, Price] = {}
    if money:
        prices = Price.objects.filter(material__build=build).order_by("day", "pk")
        newest = {price.material_id: price for price in prices}
    for material in build.materials.select_related("supplier"):
        price = newest.get(material.pk)
        yield {
            "name": material.name,
            "kind": str(material.kind),
            "length": length_cell(material.length_mm, imperial),
            "width": length_cell(material.width_mm, imperial),
            "thickness": length_cell(material.thickness_mm, imperial),
            "unit": str(material.unit),
            "density": material.density,
            "areal_weight": material.areal_weight,
            "each_kg": material.each_kg,
            "coverage": material.coverage,
            "priced_width": length_cell(material.nominal_width_mm, imperial),
            "priced_thickness": length_cell(material.nominal_thickness_mm, imperial),
            "pack": material.pack,
            "waste": material.waste_percent,
            "cost_kind": str(material.cost_kind),
            "supplier": material.supplier.name if material.supplier else "",
            "lead_days": material.lead_days,
            "price": price.net if price else None,
            "currency": price.currency if price else "",
            "rate": price.rate if price and price.currency != build.currency else None,
            "price_day": price.day if price else None,
            "notes": material.notes,
        }
