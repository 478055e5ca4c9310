from __future__ import annotations

from decimal import Decimal

from buildlog.lists.cells import (
    Choice,
    CountOf,
    LayersOf,
    Length,
    Number,
    QuantityOf,
    Text,
    Whole,
    YesNo,
)
from buildlog.lists.columns import Column
from buildlog.materials.models import Part

GRAIN = {
    "any": Part.Grain.ANY, "any way": Part.Grain.ANY, "either": Part.Grain.ANY,
    "along": Part.Grain.ALONG, "along its length": Part.Grain.ALONG, "lengthwise": Part.Grain.ALONG,
    "long": Part.Grain.ALONG,
    "across": Part.Grain.ACROSS, "across its length": Part.Grain.ACROSS, "cross": Part.Grain.ACROSS,
}  # fmt: skip

COLUMNS = (
    Column("name", "part", "part", Text(120), (
        "name", "piece", "item", "description", "what",
    ), needed=True),
    Column("task", "task", "task", Text(200, refers=True), (
        "for job", "job", "for task", "for", "used in", "task no", "job no", "nr",
    )),
    Column("material", "material", "material", Text(120), (
        "stuff", "of", "made of", "stock", "wood",
    ), needed=True),
    Column("count", "count", "count", CountOf(), (
        "no", "number", "qty", "quantity", "pieces", "pcs", "how many", "off", "#",
    )),
    Column("length", "length", "length mm", Length(), ("l", "long", "len")),
    Column("width", "width", "width mm", Length(), ("w", "wide", "breadth", "height")),
    Column("thickness", "thickness", "thickness mm", LayersOf(), ("t", "thick", "th", "thk")),
    Column("layers", "layers", "layers", Whole(least=1, most=999), (
        "plies", "laminations", "coats",
    )),
    Column("grain", "grain", "grain", Choice(GRAIN), ("face grain",), fallback=Part.Grain.ANY),
    Column("mirrored", "mirrored pair", "mirrored", YesNo(), (
        "handed", "pair", "port and starboard", "p s", "both sides",
    ), fallback=False),
    Column("scarf", "may be scarfed, slope to one", "scarf",
           Number(least=Decimal(4), most=Decimal(50), places=2),
           ("scarfed", "scarf ratio", "scarf slope")),
    Column("amount", "amount for each", "amount each", QuantityOf(), (
        "amount", "amount for each", "uses",
    )),
    Column("allowance", "its own allowance", "allowance %",
           Number("%", most=Decimal(500), places=3), ("waste", "waste %")),
    Column("notes", "notes", "notes", Text(50_000, lines=True), (
        "note", "remarks", "remark", "comments", "comment",
    ), fallback=""),
)  # fmt: skip
