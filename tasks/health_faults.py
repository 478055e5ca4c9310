"""What is wrong with one task or link, in the words of the line under its name."""

from __future__ import annotations

import datetime as dt

from tasks.health import PlanHealth
from tasks.hours import show_hours
from tasks.network.health import Fault, How
from tasks.words import of

__all__ = ["fault_words"]


def fault_words(found: PlanHealth, fault: Fault) -> str:
    """All that is wrong with it; empty where the heading of the check says it already."""
    return " ".join(_one(found, fault, how) for how in fault.hows)


def _one(found: PlanHealth, fault: Fault, how: How) -> str:
    much = show_hours(abs(fault.minutes or 0))
    path = found.plan.critical_path
    match how:
        case How.NO_AFTER if path and fault.task == path[-1]:
            return "The plan ends with it, so nothing need come after it."
        case How.NO_BEFORE:
            return "Nothing leads to it: right, if it can start at any time."
        case How.NO_AFTER:
            return "Nothing waits for it."
        case How.LOOSE_START:
            return "Nothing holds its start."
        case How.LOOSE_FINISH:
            return "Nothing waits for its end."
        case How.LEAD:
            return f"{much} sooner than the other allows."
        case How.LAG:
            return f"{much} of waiting."
        case How.PINNED:
            return "Pinned to its time."
        case How.MUCH_FLOAT:
            return f"{much} to spare."
        case How.LATE:
            return f"{much} in the shed too late."
        case How.LONG:
            return f"{much} long."
        case How.STARTED_LATER:
            return "Said to have started after now."
        case How.FINISHED_LATER:
            return "Said to be finished after now."
        case How.PLANNED_EARLIER:
            return "Planned before now."
        case How.MISSED:
            return _missed(found, fault)
        case How.DOES_NOT_MOVE_END:
            return "Its delay does not reach the launch."
        case How.NO_WORK:
            return "No hours."
        case How.STARTS_LATE:
            return f"It waits for its date, {much} in the shed from now."
        case How.ONE_GUESS:
            return "Low and high are the same."
        case _:
            return ""


def _missed(found: PlanHealth, fault: Fault) -> str:
    late = dt.timedelta(minutes=fault.minutes or 0)
    days = of(late.days + 1, "day")
    done = found.plan.tasks[int(fault.task or 0)].task.finished_at
    return f"Finished {days} late." if done else f"Not finished, {days} late by now."
