from buildlog.lists.kinds.base import Kind
from buildlog.lists.kinds.parts.bring import check, write
from buildlog.lists.kinds.parts.columns import COLUMNS
from buildlog.lists.kinds.parts.take import take

KIND = Kind(
    key="parts", title="Parts", one="part", many="parts", right="plan", see="look",
    hint="What she is made of: each part with its material, count and size, and the task that "
         "makes it.",
    same="A part is known again by its name, task and material together.",
    columns=COLUMNS, check=check, write=write, take=take,
)  # fmt: skip
