from __future__ import annotations

from buildlog.lists.cells import Day, QuantityOf, Text
from buildlog.lists.columns import Column

COLUMNS = (
    Column("material", "material", "material", Text(120), (
        "name", "what", "item", "stuff", "description",
    ), needed=True),
    Column("counted", "how much is there", "in stock", QuantityOf(zero=True), (
        "counted", "count", "quantity", "qty", "stock", "on hand", "how many", "how much", "number",
        "no", "amount", "in the shed",
    ), needed=True),
    Column("unit", "in", "unit", Text(20, refers=True), ("units", "uom", "counted in")),
    Column("day", "counted on", "counted on", Day(), ("date", "day", "on", "when")),
    Column("note", "note", "note", Text(200), ("notes", "remarks", "comment", "comments"),
           fallback=""),
)  # fmt: skip
