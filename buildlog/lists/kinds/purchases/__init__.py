from buildlog.lists.kinds.base import Kind
from buildlog.lists.kinds.purchases.bring import check, write
from buildlog.lists.kinds.purchases.columns import COLUMNS
from buildlog.lists.kinds.purchases.take import take

KIND = Kind(
    key="purchases", title="Purchases", one="line of a purchase", many="lines of purchases",
    right="money", see="see-money",
    hint="What was bought: date, supplier, what, how much, what was paid, the receipt's number.",
    same="A line is known again by its supplier, receipt number, date and material.",
    columns=COLUMNS, check=check, write=write, take=take,
)  # fmt: skip
