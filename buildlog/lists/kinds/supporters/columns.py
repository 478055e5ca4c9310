from __future__ import annotations

from buildlog.lists.cells import AmountIn, Day, Text, YesNo
from buildlog.lists.columns import Column

COLUMNS = (
    Column("name", "supporter", "supporter", Text(120), ("name", "who", "person"), needed=True),
    Column("email", "email", "email", Text(254), ("e mail", "mail", "address"), fallback=""),
    Column("since", "since", "since", Day(), ("joined", "supporter since", "first seen")),
    Column("agreed", "agreed to be named in public", "may be named", YesNo(), (
        "agreed", "named", "public", "agreed to be named", "ok to name",
    ), fallback=False),
    Column("shown_as", "name to show", "shown as", Text(120), ("show as", "public name", "alias"),
           fallback=""),
    Column("notes", "notes", "notes", Text(50_000, lines=True), ("note", "remarks", "comments"),
           fallback=""),
    Column("day", "given on", "given on", Day(), ("date", "day", "when", "received", "paid on")),
    Column("amount", "given", "given", AmountIn(), (
        "amount", "contribution", "sum", "donation", "gift", "paid",
    )),
    Column("what_for", "what for", "for", Text(200), ("what for", "message", "purpose"),
           fallback=""),
)  # fmt: skip
