"""What is checked, and what comes out: each check with its parts, its verdict and the faults."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from tasks.network.calendar import Calendar
from tasks.network.exceptions import BadValue, UnknownTask
from tasks.network.values import Link, Schedule, Task, TaskDates, TaskId

__all__ = [
    "Baseline",
    "Check",
    "Fault",
    "Health",
    "How",
    "Key",
    "Limit",
    "Practice",
    "Subject",
    "Verdict",
    "Why",
]


class Key(StrEnum):
    """The checks. The first fourteen are the published points, in their order."""

    LOGIC = "logic"
    LEADS = "leads"
    LAGS = "lags"
    LINK_KINDS = "link-kinds"
    HARD_CONSTRAINTS = "hard-constraints"
    HIGH_FLOAT = "high-float"
    NEGATIVE_FLOAT = "negative-float"
    HIGH_DURATION = "high-duration"
    INVALID_DATES = "invalid-dates"
    RESOURCES = "resources"
    MISSED = "missed"
    CRITICAL_PATH_TEST = "critical-path-test"
    CPLI = "cpli"
    BEI = "bei"
    UNPLANNED = "unplanned"
    LOOSE_ENDS = "loose-ends"
    NO_WORK = "no-work"
    PATH_FROM_NOW = "path-from-now"
    ONE_GUESS = "one-guess"
    OUT_OF_ORDER = "out-of-order"
    NOT_IN_BASELINE = "not-in-baseline"


class Verdict(StrEnum):
    PASSES = "passes"
    FAILS = "fails"
    #: Reported without a verdict: no limit is set, or the reading asked for sets none.
    INFORMATION = "information"
    CANNOT_TELL = "cannot tell"


class Why(StrEnum):
    """Why a check cannot be told."""

    NOTHING_TO_COUNT = "nothing to count"
    NO_BASELINE = "no baseline"
    NOTHING_DUE = "nothing was to be finished by now"
    NO_PROMISE = "no finish was promised"
    NO_WORK_LEFT = "no work is left"
    RESOURCES_UNKNOWN = "resources are not known"
    GUESSES_UNKNOWN = "the spread of the estimates is not known"
    HOURS_UNKNOWN = "no hours are known"
    OUT_OF_SHOP_HOURS = "the shop hours end before the slipped finish"


class How(StrEnum):
    """In which way a task or link is at fault."""

    NO_BEFORE = "nothing comes before it"
    NO_AFTER = "nothing comes after it"
    LOOSE_START = "nothing before it holds its start"
    LOOSE_FINISH = "nothing after it waits for its finish"
    LEAD = "a negative lag"
    LAG = "a positive lag"
    OTHER_KIND = "not from finish to start"
    PINNED = "a date that the links cannot move"
    MUCH_FLOAT = "more float than the limit"
    LATE = "too late for the promised finish"
    LONG = "longer than the limit"
    STARTED_LATER = "said to have started after the status time"
    FINISHED_LATER = "said to be finished after the status time"
    PLANNED_EARLIER = "planned before the status time"
    NO_RESOURCE = "no resource"
    MISSED = "later than its baseline finish"
    DOES_NOT_MOVE_END = "its slip does not move the end"
    NO_WORK = "no duration"
    STARTS_LATE = "heads the critical path, but does not begin at the status time"
    ONE_GUESS = "low and high estimate are the same"
    OUT_OF_ORDER = "begun before what its link asks for"
    NOT_IN_BASELINE = "not in the baseline"


@dataclass(frozen=True, slots=True)
class Limit:
    """A threshold for `count / base`, or for the count alone (`of_count`).

    `value` is met by what equals it; `at_least` tells which side is good.

    >>> Limit(Fraction(1, 20)).holds(1, 20), Limit(Fraction(1, 20)).holds(2, 20)
    (True, False)
    """

    value: Fraction
    at_least: bool = False
    of_count: bool = False

    def holds(self, count: int, base: int) -> bool:
        measured = Fraction(count) if self.of_count else Fraction(count, base)
        return measured >= self.value if self.at_least else measured <= self.value


@dataclass(frozen=True, slots=True)
class Fault:
    """One task or link at fault.

    Attributes
    ----------
    hows
        In which ways.
    task
        The task's id; None for a link.
    link
        The place of the link among those given; None for a task.
    minutes
        How much, where that says something: shop minutes of float or duration, minutes of a lag,
        clock minutes after the baseline finish.
    """

    hows: tuple[How, ...]
    task: TaskId | None = None
    link: int | None = None
    minutes: int | None = None


@dataclass(frozen=True, slots=True)
class Check:
    """One check with the parts of its formula.

    Attributes
    ----------
    key
        Which check; `published` has its number, name, formula and limit.
    verdict
        What came of it.
    count, base
        Above and below the line: numbers of tasks or links, shop minutes for the critical path
        test and the CPLI, people-minutes for unplanned hours.
    why
        Why it cannot be told, if it cannot.
    faults
        The tasks or links at fault, in the order in which they were given.
    """

    key: Key
    verdict: Verdict
    count: int = 0
    base: int = 0
    why: Why | None = None
    faults: tuple[Fault, ...] = ()

    @property
    def share(self) -> float | None:
        """Count by base; None where the base is 0 and no ratio is defined."""
        return self.count / self.base if self.base else None


@dataclass(frozen=True, slots=True)
class Practice:
    """One of the ten practices, as far as the checks named can tell of it."""

    number: int
    name: str
    verdict: Verdict
    keys: tuple[Key, ...]


@dataclass(frozen=True, slots=True)
class Health:
    """All checks by key, the fourteen points first, and the ten practices."""

    checks: Mapping[Key, Check]
    practices: tuple[Practice, ...]


@dataclass(frozen=True, slots=True)
class Baseline:
    """The plan as it was promised.

    Attributes
    ----------
    finishes
        By task, the clock minute up to which a finish counts as on time.
    end
        The same for the whole.
    """

    finishes: Mapping[TaskId, int]
    end: int


@dataclass(frozen=True)
class Subject:
    """A network to be checked, with all that is known of it.

    Parameters
    ----------
    tasks, links, calendar
        As they went into `schedule`.
    plan
        What came out; its `now` is the status time.
    day
        Shop minutes of a working day, at least 1.
    pinned
        Tasks with a hard constraint: a date that their links cannot move.
    resourced
        Tasks with a resource or a cost; None where that is not known.
    guessed
        Tasks whose low and high estimate differ; None where there are no such estimates.
    baseline
        What was promised; None where nothing was.
    logged
        People-minutes logged: for tasks of the network, and in all; None where not known.
    left_out
        Tasks that hold a place in the network, but are not done: counted nowhere.

    Raises
    ------
    BadValue
        If `day` is less than 1.
    UnknownTask
        If a link, or the plan, does not fit the tasks.
    """

    tasks: Sequence[Task]
    links: Sequence[Link]
    plan: Schedule
    calendar: Calendar
    day: int
    pinned: Collection[TaskId] = frozenset()
    resourced: Collection[TaskId] | None = None
    guessed: Collection[TaskId] | None = None
    baseline: Baseline | None = None
    logged: tuple[int, int] | None = None
    left_out: Collection[TaskId] = field(default=frozenset())

    def __post_init__(self) -> None:
        if type(self.day) is not int or self.day < 1:
            raise BadValue(f"a working day must have 1 shop minute or more, not {self.day!r}")
        for task in self.tasks:
            if task.id not in self.plan.dates:
                raise UnknownTask(task.id, "the plan")
        for link in self.links:
            for end in (link.before, link.after):
                if end not in self.by_id:
                    raise UnknownTask(end, str(link))

    @property
    def now(self) -> int:
        """The status time, in clock minutes."""
        return self.plan.now

    @cached_property
    def by_id(self) -> dict[TaskId, Task]:
        return {task.id: task for task in self.tasks}

    @cached_property
    def counted(self) -> list[Task]:
        """All tasks but those left out."""
        return [task for task in self.tasks if task.id not in self.left_out]

    @cached_property
    def incomplete(self) -> list[Task]:
        """The base of most checks: the tasks that are not finished, none left out."""
        return [task for task in self.counted if task.finished is None]

    @cached_property
    def open_links(self) -> list[tuple[int, Link]]:
        """The links that still hold something, with their places: to a task of the base."""
        open_ids = {task.id for task in self.incomplete}
        return [(n, link) for n, link in enumerate(self.links) if link.after in open_ids]

    def dates(self, task: Task) -> TaskDates:
        return self.plan.dates[task.id]
