"""Materials in, with their prices: known again by name. A new price stands beside the old ones."""

from __future__ import annotations

from typing import Any

from buildlog.lists.fold import fold_name
from buildlog.lists.kinds.base import Bringing, check_fields, settle
from buildlog.lists.kinds.guessing import UNIT_OF, guess_kind
from buildlog.lists.kinds.money import currency_of, rate_of, say_foreign
from buildlog.lists.kinds.suppliers import Suppliers
from buildlog.lists.records import Record, State
from buildlog.materials.models import Material, Price, Supplier

FIELDS = {
    "length_mm": "length", "width_mm": "width", "thickness_mm": "thickness", "density": "density",
    "areal_weight": "areal_weight", "each_kg": "each_kg", "coverage": "coverage",
    "nominal_width_mm": "priced_width", "nominal_thickness_mm": "priced_thickness", "pack": "pack",
    "waste_percent": "waste", "cost_kind": "cost_kind", "lead_days": "lead_days", "notes": "notes",
}  # fmt: skip


def check(bringing: Bringing) -> None:
    build = bringing.build
    known = {fold_name(m.name): m for m in build.materials.select_related("supplier")}
    prices: dict[int, list[Price]] = {}
    for price in Price.objects.filter(material__build=build).order_by("day", "pk"):
        prices.setdefault(price.material_id, []).append(price)
    suppliers = Suppliers(build)
    used: dict[str, int] = {}
    for record in bringing.records:
        name = record.get("name")
        first = used.setdefault(fold_name(name), record.number) if name else record.number
        if first != record.number:
            record.refuse("name", "used-twice", f"Row {first} has that material already.")
        if record.good:
            _settle(record, known.get(fold_name(name)), prices, suppliers, bringing)
    if bringing.found.has("price") and not bringing.found.has("price_day"):
        bringing.note(
            f"No column dates the prices, so new ones count from today, {bringing.today}."
        )
    say_foreign(bringing)


def _settle(
    record: Record,
    material: Material | None,
    prices: dict[int, list[Price]],
    suppliers: Suppliers,
    bringing: Bringing,
) -> None:
    name = record.get("name")
    given: dict[str, tuple[str, Any]] = {
        field: (key, record.values[key]) for field, key in FIELDS.items() if record.has(key)
    }
    kind = record.get("kind") or (material.kind if material else guess_kind(name))
    if not kind:
        record.refuse("kind" if record.has("kind") else "name", "needed",
                      "Of which kind is it? Add a column for the kind: "
                      f"{', '.join(UNIT_OF)}.")  # fmt: skip
        return
    if material is None or record.get("kind"):
        given["kind"] = ("kind", kind)
    if record.get("unit") or material is None:
        given["unit"] = ("unit", record.get("unit", UNIT_OF[kind]))
    supplier = suppliers.of(record.get("supplier"))
    if record.has("supplier"):
        given["supplier"] = ("supplier", supplier)

    def make() -> Material:
        return Material(build=bringing.build, name=name)

    settle(record, material, make, given)
    if record.good:
        _settle_price(record, prices.get(material.pk, []) if material else [], supplier, bringing)


def _settle_price(
    record: Record, known: list[Price], supplier: Supplier | None, bringing: Bringing
) -> None:
    """The price that the row adds or corrects, put beside its material; none if it stands so."""
    amount = record.get("price")
    currency = currency_of(record, bringing, "price")
    if amount is None or currency is None:
        return
    rate, day = rate_of(record, currency, bringing), record.get("price_day")
    newest = known[-1] if known else None
    same_day = [price for price in known if price.day == (day or bringing.today)]
    stands = same_day[-1] if same_day else newest if day is None else None
    if stands and _same(stands, amount.value, currency, rate, supplier):
        return
    price = same_day[-1] if same_day else Price(material=record.target, day=day or bringing.today)
    price.net, price.currency, price.supplier = amount.value, currency, supplier
    if rate is not None or price.pk is None:
        price.rate = rate
        price.rate_day = (
            price.day if rate is not None and currency != bringing.build.currency else None
        )
    check_fields(record, price, {"net": "price", "rate": "rate"})
    record.also = price
    if record.outcome == State.UNCHANGED:
        record.outcome = State.CHANGED
    record.changes.append("price")


def _same(price: Price, net: Any, currency: str, rate: Any, supplier: Supplier | None) -> bool:
    return (
        price.net == net
        and price.currency == currency
        and (rate is None or price.rate == rate)
        and (supplier is None or price.supplier_id == supplier.pk)
    )


def write(bringing: Bringing) -> None:
    """Saved one by one, through the models' own save: a catalogue is a few hundred rows."""
    for record in bringing.going:
        material: Material = record.target
        if material.supplier and material.supplier.pk is None:
            material.supplier.save()
        material.supplier = material.supplier
        material.save()
        price: Price | None = record.also
        if price:
            price.material = material
            if price.supplier and price.supplier.pk is None:
                price.supplier.save()
            price.supplier = price.supplier
            price.save()
