"""The forecast in the builder's words."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from buildlog.drawing import Drawing
from buildlog.drawing.launch_spread import launch_spread
from tasks.forecasting import Outlook, Sort
from tasks.models import Task, WorkKind
from tasks.order import Order
from tasks.plan import Plan
from tasks.words import of

__all__ = ["Carrier", "carriers_of", "chance_words", "history_words", "spread_drawn"]

#: Fewer runs than this at either end are not drawn: a tail of single runs says nothing.
TAIL = 0.005
#: Nearer to what was guessed than this, the guesses are right.
AS_GUESSED = 0.05


@dataclass(frozen=True, slots=True)
class Carrier:
    """A task that carries much of the spread; both parts in whole per cent."""

    task: Task
    spread: int
    on_chain: int


def carriers_of(plan: Plan, outlook: Outlook, most: int = 6) -> list[Carrier]:
    return [
        Carrier(plan.tasks[one.task].task, round(100 * one.spread), round(100 * one.on_chain))
        for one in outlook.shares[:most]
        if one.task in plan.tasks and one.spread >= 0.005
    ]


def history_words(outlook: Outlook) -> list[str]:
    """What the record says of the guesses and of the hours, each with how much it rests on."""
    said = []
    if outlook.overall.jobs:
        said.append(f"All your jobs together take {_times(outlook.overall)}.")
    for sort in sorted(outlook.sorts, key=lambda one: -one.jobs):
        name = WorkKind(sort.kind).label if sort.kind in WorkKind.values else sort.kind
        said.append(f"Your jobs of {name} take {_times(sort)}.")
    if outlook.pace_weeks:
        said.append(
            f"You work {round(100 * outlook.pace)} % of the shop hours in your pattern "
            f"({of(outlook.pace_weeks, 'week')})."
        )
    return said


def _times(sort: Sort) -> str:
    jobs = f"({of(sort.jobs, 'job')})"
    if abs(sort.factor - 1) < AS_GUESSED:
        return f"about what you guess {jobs}"
    return f"{sort.factor:.1f} times what you guess {jobs}"


def chance_words(share: float) -> str:
    """A chance as people say it: “about 7 in 10”.

    >>> chance_words(0.0), chance_words(0.004), chance_words(0.72), chance_words(0.995)
    ('no run of the forecast', 'fewer than 1 in 100 runs', 'about 7 in 10 runs', 'nearly all runs')
    """
    if share <= 0:
        return "no run of the forecast"
    if share < 0.01:
        return "fewer than 1 in 100 runs"
    if share < 0.1:
        return f"about {round(100 * share)} in 100 runs"
    if share >= 0.99:
        return "nearly all runs"
    if share > 0.95:
        return f"about {round(100 * share)} in 100 runs"
    return f"about {round(10 * share)} in 10 runs"


def spread_drawn(outlook: Outlook, order: Order | None) -> list[Drawing]:
    """The forecast drawn twice: for a desk and for a phone."""
    low, high = outlook.at(TAIL), outlook.at(1 - TAIL)
    width = outlook.weeks[1][0] - outlook.weeks[0][0] if len(outlook.weeks) > 1 else WEEK
    bars = [
        (begin, begin + width, runs / outlook.runs)
        for begin, runs in outlook.weeks
        if begin + width >= low and begin <= high
    ]
    marks = (outlook.p10, outlook.p50, outlook.p90)
    planned = order.launch if order else None
    return [
        launch_spread(bars, marks, planned, key="spread-desk"),
        launch_spread(bars, marks, planned, width=350, key="spread-phone"),
    ]


WEEK = dt.timedelta(weeks=1)
