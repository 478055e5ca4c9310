from buildlog.lists.kinds.base import Kind
from buildlog.lists.kinds.tasks.bring import check, write
from buildlog.lists.kinds.tasks.columns import COLUMNS
from buildlog.lists.kinds.tasks.take import take

KIND = Kind(
    key="tasks", title="Tasks", one="task", many="tasks", right="plan", see="look",
    hint="What is to be done, by stage: hours (low, likely, high), hands, cure.",
    same="A task is known again by its number.",
    columns=COLUMNS, check=check, write=write, take=take,
)  # fmt: skip
