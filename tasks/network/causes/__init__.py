"""Why the launch moved: the change between two days, split into its causes.

Plain values in, plain values out. `split_change` takes two `Record`s; how it splits, and what its
order of steps means for the answer, stands in `tasks.network.causes.split`.
"""

from tasks.network.causes.facts import Facts, Record, TaskFacts, facts_of, inputs_from
from tasks.network.causes.split import split_change
from tasks.network.causes.values import Change, Group, Part, What

__all__ = [
    "Change",
    "Facts",
    "Group",
    "Part",
    "Record",
    "TaskFacts",
    "What",
    "facts_of",
    "inputs_from",
    "split_change",
]
