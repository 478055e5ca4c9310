"""What was published of each check: its number, name, formula and limit, and where that was seen.

Sources
-------
The fourteen points: DCMA-EA PAM 200.1 (October 2012), section 4. Its text was not at hand: the
limits are from secondary summaries of it, and where `Seen.MEMORY` says so, from memory (the way of
the critical path test, the limit of the BEI; likewise the bases of points 10 and 11).

The ten practices: GAO-16-89G (December 2015), their names and order as published. The guide sets
no limits. Which checks tell of which practice, and the checks beside the fourteen points, are our
reading of it, from memory: loose ends and work begun out of order are to be put right, so none of
them may stay; the rest is reported.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from tasks.network.health.values import Key, Limit

__all__ = ["PRACTICES", "PUBLISHED", "SLIP_DAYS", "TOO_MANY_DAYS", "Published", "Seen"]

#: More float, or a longer duration, than so many working days is high: two months of work.
TOO_MANY_DAYS = 44
#: Working days by which the critical path test lets a task slip. From memory.
SLIP_DAYS = 600

_FIVE_IN_A_HUNDRED = Limit(Fraction(5, 100))
_NONE = Limit(Fraction(0), of_count=True)
_NINETY_FIVE = Limit(Fraction(95, 100), at_least=True)


class Seen(StrEnum):
    """Where the limit of a check was seen."""

    SECONDARY = "in secondary summaries"
    MEMORY = "from memory"
    UNSET = "none is set"


@dataclass(frozen=True, slots=True)
class Published:
    """One check as published. `point` is its number among the fourteen, None beside them."""

    point: int | None
    name: str
    formula: str
    limit: Limit | None
    seen: Seen


PUBLISHED = {
    Key.LOGIC: Published(
        1, "Logic", "tasks missing predecessor and/or successor / incomplete tasks",
        _FIVE_IN_A_HUNDRED, Seen.SECONDARY,
    ),
    Key.LEADS: Published(
        2, "Leads", "links with negative lag / links", _NONE, Seen.SECONDARY,
    ),
    Key.LAGS: Published(
        3, "Lags", "links with positive lag / links", _FIVE_IN_A_HUNDRED, Seen.SECONDARY,
    ),
    Key.LINK_KINDS: Published(
        4, "Relationship types", "finish-to-start links / links",
        Limit(Fraction(90, 100), at_least=True), Seen.SECONDARY,
    ),
    Key.HARD_CONSTRAINTS: Published(
        5, "Hard constraints", "tasks with hard constraint / incomplete tasks",
        _FIVE_IN_A_HUNDRED, Seen.SECONDARY,
    ),
    Key.HIGH_FLOAT: Published(
        6, "High float", "tasks with total float > 44 working days / incomplete tasks",
        _FIVE_IN_A_HUNDRED, Seen.SECONDARY,
    ),
    Key.NEGATIVE_FLOAT: Published(
        7, "Negative float", "tasks with total float < 0", _NONE, Seen.SECONDARY,
    ),
    Key.HIGH_DURATION: Published(
        8, "High duration", "tasks with duration > 44 working days / incomplete tasks",
        _FIVE_IN_A_HUNDRED, Seen.SECONDARY,
    ),
    Key.INVALID_DATES: Published(
        9, "Invalid dates", "actuals after, or forecasts before, the status date",
        _NONE, Seen.SECONDARY,
    ),
    Key.RESOURCES: Published(
        10, "Resources", "tasks of a day or more without resource or cost / incomplete tasks",
        None, Seen.UNSET,
    ),
    Key.MISSED: Published(
        11, "Missed tasks",
        "tasks finished later than baseline finish / tasks with baseline finish by the status date",
        _FIVE_IN_A_HUNDRED, Seen.SECONDARY,
    ),
    Key.CRITICAL_PATH_TEST: Published(
        12, "Critical path test",
        "a critical task slips by 600 working days; the end must move equally",
        None, Seen.MEMORY,
    ),
    Key.CPLI: Published(
        13, "Critical path length index",
        "(critical path length + total float) / critical path length",
        _NINETY_FIVE, Seen.SECONDARY,
    ),
    Key.BEI: Published(
        14, "Baseline execution index",
        "tasks completed / tasks planned complete by the status date",
        _NINETY_FIVE, Seen.MEMORY,
    ),
    Key.UNPLANNED: Published(
        None, "Work outside the plan", "hours logged for no task / hours logged", None, Seen.UNSET,
    ),
    Key.LOOSE_ENDS: Published(
        None, "Dangling starts and finishes",
        "linked tasks whose start nothing holds, or whose finish holds nothing",
        _NONE, Seen.MEMORY,
    ),
    Key.NO_WORK: Published(
        None, "No duration", "tasks without duration / incomplete tasks", None, Seen.UNSET,
    ),
    Key.PATH_FROM_NOW: Published(
        None, "Continuous critical path",
        "critical path that does not begin at the status date", None, Seen.UNSET,
    ),
    Key.ONE_GUESS: Published(
        None, "No range of estimates",
        "tasks with work whose low and high estimate are the same / incomplete tasks with work",
        None, Seen.UNSET,
    ),
    Key.OUT_OF_ORDER: Published(
        None, "Out-of-sequence work", "links to tasks begun before what the link asks for",
        _NONE, Seen.MEMORY,
    ),
    Key.NOT_IN_BASELINE: Published(
        None, "Not in the baseline", "tasks without baseline finish / incomplete tasks",
        None, Seen.UNSET,
    ),
}  # fmt: skip

#: Number, name, and the checks that tell of it.
PRACTICES: tuple[tuple[int, str, tuple[Key, ...]], ...] = (
    (1, "Capturing all activities", (Key.UNPLANNED,)),
    (
        2, "Sequencing all activities",
        (Key.LOGIC, Key.LOOSE_ENDS, Key.LEADS, Key.LAGS, Key.LINK_KINDS, Key.HARD_CONSTRAINTS),
    ),
    (3, "Assigning resources to all activities", (Key.RESOURCES,)),
    (4, "Establishing the duration of all activities", (Key.NO_WORK, Key.HIGH_DURATION)),
    (
        5, "Verifying that the schedule can be traced horizontally and vertically",
        (Key.CRITICAL_PATH_TEST, Key.LOOSE_ENDS),
    ),
    (6, "Confirming that the critical path is valid", (Key.CRITICAL_PATH_TEST, Key.PATH_FROM_NOW)),
    (7, "Ensuring reasonable total float", (Key.HIGH_FLOAT, Key.NEGATIVE_FLOAT)),
    (8, "Conducting a schedule risk analysis", (Key.ONE_GUESS,)),
    (
        9, "Updating the schedule using actual progress and logic",
        (Key.INVALID_DATES, Key.OUT_OF_ORDER),
    ),
    (
        10, "Maintaining a baseline schedule",
        (Key.NOT_IN_BASELINE, Key.MISSED, Key.CPLI, Key.BEI),
    ),
)  # fmt: skip
