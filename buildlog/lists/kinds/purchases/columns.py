from __future__ import annotations

from decimal import Decimal

from buildlog.lists.cells import AmountIn, Choice, CurrencyCode, Day, Number, QuantityOf, Text
from buildlog.lists.columns import Column
from buildlog.lists.kinds.materials.columns import MONEY_IS

COLUMNS = (
    Column("day", "ordered on", "date", Day(), (
        "day", "when", "ordered", "ordered on", "bought", "bought on", "order date", "receipt date",
        "invoice date",
    ), needed=True),
    Column("supplier", "supplier", "supplier", Text(120), (
        "where", "from", "shop", "seller", "vendor", "bought from", "store", "merchant",
    ), needed=True),
    Column("material", "material, or what it was", "material", Text(120), (
        "what", "item", "description", "stuff", "article", "goods", "name",
    ), needed=True),
    Column("quantity", "how much", "quantity", QuantityOf(), (
        "qty", "how many", "amount", "number", "no", "count", "pieces", "quant",
    )),
    Column("unit", "in", "unit", Text(20, refers=True), ("units", "uom")),
    Column("net", "net, whole line", "net", AmountIn(), (
        "net amount", "net price", "price", "line total", "line net", "cost", "sum",
    ), money=True),
    Column("tax", "tax of the line", "tax", AmountIn(), ("vat", "gst", "sales tax", "line tax"),
           money=True),
    Column("paid", "paid, tax and all", "paid", AmountIn(), (
        "gross", "total", "amount paid", "price paid", "paid in all", "total paid",
    ), money=True),
    Column("freight", "freight", "freight", AmountIn(), (
        "delivery", "carriage", "shipping", "postage", "transport",
    ), money=True),
    Column("paper_tax", "tax not given by line", "tax of the paper", AmountIn(), money=True),
    Column("currency", "currency", "currency", CurrencyCode(), ("cur", "ccy", "curr"), money=True),
    Column("rate", "build's currency for one of it", "rate",
           Number(least=Decimal("0.000001"), most=Decimal(9_999_999), places=6),
           ("exchange rate", "exchange"), money=True),
    Column("receipt", "receipt number", "receipt", Text(60), (
        "receipt no", "receipt number", "invoice", "invoice no", "invoice number", "bill", "paper",
        "order no", "order number",
    ), fallback=""),
    Column("paid_on", "paid on", "paid on", Day(), ("paid date", "payment date", "date paid")),
    Column("arrived_on", "arrived on", "arrived on", Day(), (
        "arrived", "delivered", "delivered on", "received", "received on",
    )),
    Column("cost_kind", "money is", "money is", Choice(MONEY_IS), ("cost kind", "kind of cost")),
)  # fmt: skip
