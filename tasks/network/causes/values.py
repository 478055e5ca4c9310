"""Causes: what was changed, and by how much that moved the launch."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from enum import Enum

__all__ = ["Change", "Group", "Part", "What"]


class Group(Enum):
    """What is replaced together, in the order in which it is replaced."""

    SHOP = "shop hours and days off"
    HANDS = "hands, helpers and things"
    TIME = "time passed"
    HOURS = "hours against the guess"
    TASKS = "tasks"
    LINKS = "links"
    LIMITS = "limits, pins and set dates"
    CURE = "cures"
    #: What is left over: another order of the same work.
    ORDER = "order of work"


class What(Enum):
    """One change. The words are kept with what was recorded: add to them, change none."""

    WEEK = "week"
    ZONE = "zone"
    DAY_OFF_ADDED = "day-off-added"
    DAY_OFF_REMOVED = "day-off-removed"
    HANDS = "hands"
    HELP_ADDED = "help-added"
    HELP_REMOVED = "help-removed"
    THING = "thing"
    TASK_HANDS = "task-hands"
    TASK_THINGS = "task-things"
    WORKED = "worked"
    HOURS = "hours"
    TASK_ADDED = "task-added"
    TASK_REMOVED = "task-removed"
    DOING = "doing"
    LINK_ADDED = "link-added"
    LINK_REMOVED = "link-removed"
    LINK_CHANGED = "link-changed"
    LIMIT = "limit"
    KEEPS_TO = "keeps-to"
    HEATED = "heated"
    PIN = "pin"
    TURN = "turn"
    NOT_BEFORE = "not-before"
    UNBROKEN = "unbroken"
    CURE = "cure"
    ORDER = "order"


@dataclass(frozen=True, slots=True)
class Change:
    """One row that is another than before.

    Attributes
    ----------
    what
        The sort of change.
    tasks
        Ids of the tasks concerned; of a link, the one before and the one after.
    row
        Number of the thing or limit.
    was, now
        How much it was and is: people-minutes of guesses and work (of WORKED, planned and worked),
        elapsed minutes of a cure, counts of hands, things and limits, clock minutes of pins and
        set dates. None where there was, or is, none.
    first, last, reason
        Of days off and of help: the days. Of DOING, the reason is who does the task now.
    """

    what: What
    tasks: tuple[int, ...] = ()
    row: int | None = None
    was: int | None = None
    now: int | None = None
    first: dt.date | None = None
    last: dt.date | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """One cause: changes that were made together, and what they did to the launch.

    Attributes
    ----------
    groups
        The group; several where the first of them had no plan without the next (a link was turned
        round through a new task, say).
    minutes
        By how much it moved the launch, in clock minutes; positive is later.
    days
        The same in days of the calendar, so that the days of all parts add up to those of the
        whole change.
    changes
        What was changed.
    """

    groups: tuple[Group, ...]
    minutes: int
    days: int
    changes: tuple[Change, ...]
