from buildlog.lists.kinds.base import Kind
from buildlog.lists.kinds.log.bring import check, write
from buildlog.lists.kinds.log.columns import COLUMNS
from buildlog.lists.kinds.log.take import take

KIND = Kind(
    key="log", title="Log", one="row of the log", many="rows of the log", right="plan", see="look",
    hint="What was done: day, task, who, hours, temperatures, words.",
    same="A row is known again by its date, task, person and words.",
    columns=COLUMNS, check=check, write=write, take=take,
)  # fmt: skip
