"""The scheduling core: plain values in, plain values out, no framework.

Instants are whole clock minutes since 1970-01-01T00:00Z, durations whole shop minutes. Make `Task`
and `Link` values and a `Calendar`, and ask `schedule` for their dates.
"""

from tasks.network.calendar import Calendar
from tasks.network.critical_path import schedule
from tasks.network.dates import Dates
from tasks.network.estimate import Estimate
from tasks.network.exceptions import (
    BadCalendar,
    BadFile,
    BadInput,
    BadValue,
    Cycle,
    DuplicateTask,
    NetworkError,
    NoAnswer,
    NoShopHours,
    OutOfShopHours,
    SelfLink,
    UnknownTask,
)
from tasks.network.files import as_clock, as_moment
from tasks.network.graph import find_cycle, would_close
from tasks.network.values import LagIn, Link, LinkKind, Problem, Schedule, Task, TaskDates, TaskId

__all__ = [
    "BadCalendar",
    "BadFile",
    "BadInput",
    "BadValue",
    "Calendar",
    "Cycle",
    "Dates",
    "DuplicateTask",
    "Estimate",
    "LagIn",
    "Link",
    "LinkKind",
    "NetworkError",
    "NoAnswer",
    "NoShopHours",
    "OutOfShopHours",
    "Problem",
    "Schedule",
    "SelfLink",
    "Task",
    "TaskDates",
    "TaskId",
    "UnknownTask",
    "as_clock",
    "as_moment",
    "find_cycle",
    "schedule",
    "would_close",
]
