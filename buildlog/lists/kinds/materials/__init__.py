from buildlog.lists.kinds.base import Kind
from buildlog.lists.kinds.materials.bring import check, write
from buildlog.lists.kinds.materials.columns import COLUMNS
from buildlog.lists.kinds.materials.take import take

KIND = Kind(
    key="materials", title="Materials and prices", one="material", many="materials",
    right="money", see="look",
    hint="What you buy: kind, size it is sold in, unit, density, price, supplier, days to deliver.",
    same="A material is known again by its name. A price that differs stands beside the old one.",
    columns=COLUMNS, check=check, write=write, take=take,
)  # fmt: skip
