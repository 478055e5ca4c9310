from __future__ import annotations

from decimal import Decimal

from buildlog.lists.cells import (
    AmountIn,
    Choice,
    CurrencyCode,
    Day,
    Length,
    Measure,
    Number,
    Text,
    Whole,
)
from buildlog.lists.columns import Column
from buildlog.materials.models import CostKind, Material

_KIND = Material.Kind
KINDS = {
    **dict.fromkeys(("sheet", "sheets", "ply", "plywood", "panel", "board goods"), _KIND.SHEET),
    **dict.fromkeys(("timber", "wood", "lumber", "solid wood", "plank", "planks"), _KIND.TIMBER),
    **dict.fromkeys(("resin", "epoxy", "glue", "adhesive", "filler"), _KIND.RESIN),
    **dict.fromkeys(("cloth", "glass", "fabric", "fibre", "tape"), _KIND.CLOTH),
    **dict.fromkeys(("fastener", "fasteners", "fastening", "fastenings", "screws", "fixings"),
                    _KIND.FASTENER),
    **dict.fromkeys(("coating", "coatings", "paint", "varnish", "primer"), _KIND.COATING),
    **dict.fromkeys(("equipment", "gear", "fitting", "fittings", "hardware", "other"),
                    _KIND.EQUIPMENT),
}  # fmt: skip
_UNIT = Material.Unit
UNITS = {
    **dict.fromkeys(("sheet", "sheets"), _UNIT.SHEET),
    **dict.fromkeys(("length", "lengths", "board", "boards", "plank", "planks"), _UNIT.LENGTH),
    **dict.fromkeys(("kg", "kilo", "kilos", "kilogram", "kilograms"), _UNIT.KG),
    **dict.fromkeys(("litre", "litres", "liter", "liters", "l", "ltr"), _UNIT.LITRE),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters", "running m", "run m"), _UNIT.METRE),
    **dict.fromkeys(("each", "ea", "piece", "pieces", "pc", "pcs", "no"), _UNIT.EACH),
}  # fmt: skip
MONEY_IS = {
    **dict.fromkeys(("in boat", "in the boat", "boat"), CostKind.IN_BOAT),
    **dict.fromkeys(("used up", "consumable", "consumables"), CostKind.USED_UP),
    **dict.fromkeys(("tools", "tool"), CostKind.TOOLS),
    **dict.fromkeys(("shed", "shop", "workshop"), CostKind.SHED),
}
NOTES = Text(50_000, lines=True)

COLUMNS = (
    Column("name", "material", "material", Text(120), (
        "name", "what", "item", "description", "stuff", "stock",
    ), needed=True),
    Column("kind", "kind", "kind", Choice(KINDS), ("type", "sort", "category")),
    Column("length", "length", "length mm", Length(), ("l", "long")),
    Column("width", "width", "width mm", Length(), ("w", "wide")),
    Column("thickness", "thickness", "thickness mm", Length(), ("t", "thick")),
    Column("unit", "counted in", "unit", Choice(UNITS), ("sold by", "per", "uom", "units")),
    Column("density", "density", "density kg/m3",
           Measure("density", "kg/m³", most=Decimal(99_999)), ("density",)),
    Column("areal_weight", "weight of a square metre", "weight g/m2",
           Measure("areal weight", "g/m²", most=Decimal(99_999)),
           ("weight", "gsm", "cloth weight")),
    Column("each_kg", "weight of one", "weight of one kg",
           Measure("mass", "kg", least=Decimal("0.0001"), most=Decimal(99_999), places=4),
           ("unit weight", "weight each")),
    Column("coverage", "covers, m² a litre and coat", "covers m2/litre",
           Number(least=Decimal("0.001"), most=Decimal(9_999), places=3), ("coverage", "covers")),
    Column("priced_width", "width it is priced by", "nominal width mm", Length(),
           ("nominal width",)),
    Column("priced_thickness", "thickness it is priced by", "nominal thickness mm", Length(),
           ("nominal thickness",)),
    Column("pack", "sold in packs of", "pack",
           Number(least=Decimal("0.001"), most=Decimal(99_999_999), places=3),
           ("pack size", "packs of", "in packs of"), fallback=Decimal(1)),
    Column("waste", "allowance for waste", "waste %", Number("%", most=Decimal(500), places=3), (
        "waste", "allowance", "allowance for waste", "allowance %",
    ), fallback=Decimal(10)),
    Column("cost_kind", "money is", "money is", Choice(MONEY_IS), ("cost kind", "kind of cost"),
           fallback=CostKind.IN_BOAT),
    Column("supplier", "supplier", "supplier", Text(120), (
        "from", "shop", "seller", "vendor", "where", "source",
    )),
    Column("lead_days", "days to deliver", "lead days", Whole(most=3_650), (
        "lead time", "lead", "delivery days", "days",
    )),
    Column("price", "price, net, for one", "price", AmountIn(), (
        "net price", "unit price", "cost", "price each", "each costs", "net",
    ), money=True),
    Column("currency", "currency of the price", "currency", CurrencyCode(), ("cur", "ccy"),
           money=True),
    Column("rate", "build's currency for one of it", "rate",
           Number(least=Decimal("0.000001"), most=Decimal(9_999_999), places=6),
           ("exchange rate", "exchange"), money=True),
    Column("price_day", "price from", "price date", Day(), (
        "price from", "date", "priced on", "as of", "date of price",
    ), money=True),
    Column("notes", "notes", "notes", NOTES, ("note", "remarks", "comments", "comment"),
           fallback=""),
)  # fmt: skip
