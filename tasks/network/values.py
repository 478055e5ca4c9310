"""The values that go in and come out: tasks and links, dates and the schedule.

All instants are *clock minutes*: whole minutes since 1970-01-01T00:00Z. Durations and working lags
are *shop minutes*, which pass only in shop hours; cures and elapsed lags are *elapsed minutes*,
which pass always. Every value checks itself when it is made, so that what exists can be trusted.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import TypeAlias

from tasks.network.exceptions import BadValue, SelfLink

__all__ = ["LagIn", "Link", "LinkKind", "Problem", "Schedule", "Task", "TaskDates", "TaskId"]

TaskId: TypeAlias = int | str

#: No minute count may pass this: about 1,900 years, far inside 64 bits even when summed.
MOST_MINUTES = 10**9


class LinkKind(Enum):
    """Which end of the task before holds which end of the task after."""

    FS = "finish-start"
    SS = "start-start"
    FF = "finish-finish"
    SF = "start-finish"


class LagIn(Enum):
    """What a lag is counted in."""

    SHOP = "shop"
    ELAPSED = "elapsed"


def _refuse_unless_minutes(owner: str, name: str, value: object, least: int) -> None:
    if type(value) is not int:
        raise BadValue(f"{owner}: {name} must be whole minutes, not {value!r}")
    if not least <= value <= MOST_MINUTES:
        raise BadValue(f"{owner}: {name} must be from {least} to {MOST_MINUTES}, not {value}")


@dataclass(frozen=True, slots=True)
class Task:
    """One piece of work.

    Parameters
    ----------
    id
        A name or number, unique in its network.
    minutes
        Duration in shop minutes, at least 0. A task of 0 is a point in time.
    cure
        Elapsed minutes after the finish before successors may go on, at least 0.
    unbroken
        The work must lie in one stretch of shop hours, start to finish.
    started, finished
        Actual clock minutes. A finished task without a start is taken to have started as it
        finished.
    left
        Shop minutes of work that remain while unfinished; None means all of `minutes`.
    not_before
        Clock minute before which the task may not start; no matter once it has.

    Raises
    ------
    BadValue
        If a field has another type, is out of range, or the finish lies before the start.

    Examples
    --------
    >>> Task("glue-up", minutes=240, cure=1440, unbroken=True).work
    240
    >>> Task("glue-up", minutes=-5)
    Traceback (most recent call last):
    tasks.network.exceptions.BadValue: task glue-up: minutes must be from 0 to 1000000000, not -5
    """

    id: TaskId
    minutes: int
    cure: int = 0
    unbroken: bool = False
    started: int | None = None
    finished: int | None = None
    left: int | None = None
    not_before: int | None = None

    def __post_init__(self) -> None:
        owner = f"task {self.id}"
        if type(self.id) not in (int, str):
            raise BadValue(f"{owner}: an id must be a word or a whole number")
        _refuse_unless_minutes(owner, "minutes", self.minutes, 0)
        if self.cure != 0 or type(self.cure) is not int:
            _refuse_unless_minutes(owner, "cure", self.cure, 0)
        if self.left is not None:
            _refuse_unless_minutes(owner, "left", self.left, 0)
        for name in ("started", "finished", "not_before"):
            instant = getattr(self, name)
            if instant is not None:
                _refuse_unless_minutes(owner, name, instant, -MOST_MINUTES)
        if self.finished is not None and self.started is not None and self.finished < self.started:
            raise BadValue(f"{owner}: finished before it was started")

    @property
    def work(self) -> int:
        """Shop minutes still to be worked: 0 once finished."""
        if self.finished is not None:
            return 0
        return self.minutes if self.left is None else self.left


@dataclass(frozen=True, slots=True)
class Link:
    """What must come before what.

    Parameters
    ----------
    before, after
        Ids of the two tasks.
    kind
        Which ends are linked.
    lag
        Minutes to wait; negative for a lead. Counted as `lag_in` says.
    lag_in
        Shop minutes or elapsed minutes. A lag of 0 is the same in both.
    waits_for_cure
        Whether a link from a finish counts from the end of the cure (the usual case) or from the
        end of the work. Links from a start know no cure.

    Raises
    ------
    SelfLink
        If both ends are one task.
    BadValue
        If the lag is not a whole number, or the kind is not a `LinkKind`.

    Examples
    --------
    >>> print(Link("sheathe", "sand", lag=60))
    sheathe -> sand (finish-start, 60 shop minutes)
    """

    before: TaskId
    after: TaskId
    kind: LinkKind = LinkKind.FS
    lag: int = 0
    lag_in: LagIn = LagIn.SHOP
    waits_for_cure: bool = True

    def __post_init__(self) -> None:
        if self.before == self.after:
            raise SelfLink(self.before)
        if type(self.kind) is not LinkKind:
            raise BadValue(f"link {self.before} -> {self.after}: no such kind: {self.kind!r}")
        if type(self.lag_in) is not LagIn:
            raise BadValue(f"link {self.before} -> {self.after}: no such lag: {self.lag_in!r}")
        if self.lag != 0 or type(self.lag) is not int:
            owner = f"link {self.before} -> {self.after}"
            _refuse_unless_minutes(owner, "lag", self.lag, -MOST_MINUTES)

    def __str__(self) -> str:
        lag = f", {self.lag} {self.lag_in.value} minutes" if self.lag else ""
        return f"{self.before} -> {self.after} ({self.kind.value}{lag})"


@dataclass(frozen=True, slots=True)
class TaskDates:
    """When one task can and must happen. Instants are clock minutes, floats shop minutes.

    Attributes
    ----------
    early_start, early_finish
        As soon as links, shop hours and today allow; the actual dates where there are any.
    cured
        `early_finish` plus the cure.
    late_start, late_finish
        As late as the launch allows; of what is done, the actual dates again.
    total_float
        Shop minutes between the early and the late start (of started work: between the early and
        the late finish; for a given calendar the two are the same number).
    free_float
        Shop minutes by which the task can slip and move no early date of another task, nor the
        launch.
    driving
        The link that fixes the early start (of started work: when it can go on). None where
        today, `not_before` or nothing else does.
    critical
        On the critical path, or unfinished with no total float.
    in_pieces
        The task is unbroken, but no stretch of shop hours is long enough; these dates let it
        pause overnight, and `Schedule.problems` says so.
    """

    early_start: int
    early_finish: int
    cured: int
    late_start: int
    late_finish: int
    total_float: int
    free_float: int
    driving: Link | None
    critical: bool
    in_pieces: bool = False


@dataclass(frozen=True, slots=True)
class Problem:
    """Something in a network that has a plan, but not the plan that was asked for.

    Attributes: `task`, its id; `rule`, a fixed word for programs; `text`, a sentence for people.
    """

    task: TaskId
    rule: str
    text: str


@dataclass(frozen=True, slots=True)
class Schedule:
    """The dates of every task.

    Attributes
    ----------
    now
        The status time that the plan was made at, in clock minutes.
    launch
        When the last task is finished and cured, in clock minutes; `now` if there is no task.
    dates
        `TaskDates` by task id, in the order in which the tasks were given.
    critical_path
        Ids along the chain of driving links back from the launch, first to last.
    problems
        What could not be planned as asked.
    """

    now: int
    launch: int
    dates: Mapping[TaskId, TaskDates]
    critical_path: tuple[TaskId, ...]
    problems: tuple[Problem, ...] = field(default=())
