from buildlog.lists.kinds.base import Kind
from buildlog.lists.kinds.stock.bring import check, write
from buildlog.lists.kinds.stock.columns import COLUMNS
from buildlog.lists.kinds.stock.take import take

KIND = Kind(
    key="stock", title="Stock", one="count", many="counts", right="money", see="look",
    hint="What is in the shed: each material with how much of it you counted, and on which day. "
         "Bring purchases before counts.",
    same="A count that is in already, same material, day and amount, is not counted again.",
    columns=COLUMNS, check=check, write=write, take=take,
)  # fmt: skip
