from buildlog.lists.kinds.base import Kind
from buildlog.lists.kinds.links.bring import check, write
from buildlog.lists.kinds.links.columns import COLUMNS
from buildlog.lists.kinds.links.take import take

KIND = Kind(
    key="links", title="Links", one="link", many="links", right="plan", see="look",
    hint="What must come before what: first task, then task, and the wait between them.",
    same="A link is known again by its two tasks and its kind.",
    columns=COLUMNS, check=check, write=write, take=take,
)  # fmt: skip
