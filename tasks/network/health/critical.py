"""Is the critical path a true one? Point 12, by a slip and a new plan; and where it begins."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import zip_longest

from tasks.network.critical_path import schedule
from tasks.network.exceptions import NoAnswer
from tasks.network.health.judging import judged, untold
from tasks.network.health.published import SLIP_DAYS
from tasks.network.health.values import Check, Fault, How, Key, Subject, Verdict, Why
from tasks.network.values import LagIn, LinkKind, Schedule, Task, TaskId

__all__ = ["critical_path_test", "path_from_now"]


def critical_path_test(subject: Subject) -> Check:
    """Point 12: push a critical task by 600 working days, plan anew, and see how far the end moves.

    Pushed is the first task of the critical path that can still slip: its start, or what is left of
    it once it has begun. `count` is how far the end moved, `base` how far the task was pushed,
    in shop minutes. They must be equal. Only where cures, lags by the clock or unbroken work lie
    on the way may they differ, by what these take of the shop hours: a cure that fell into a night
    may fall into a Saturday after the slip.

    From memory, the 600 days included.
    """
    task = next(_movable(subject), None)
    if task is None:
        return untold(Key.CRITICAL_PATH_TEST, Why.NO_WORK_LEFT)
    slip = SLIP_DAYS * subject.day
    try:
        pushed = _push(subject, task, slip)
        tasks = [pushed if one.id == task.id else one for one in subject.tasks]
        after = schedule(tasks, subject.links, subject.calendar, subject.now)
        moved = subject.calendar.shop_between(subject.plan.launch, after.launch)
    except NoAnswer:
        return untold(Key.CRITICAL_PATH_TEST, Why.OUT_OF_SHOP_HOURS)
    least = slip - _give(subject, subject.plan, task.id)
    most = slip + _waits_for_stretch(subject, task, after, slip)
    if task.id in after.critical_path:
        most += _give(subject, after, task.id)
    if least <= moved <= most:
        return Check(Key.CRITICAL_PATH_TEST, Verdict.PASSES, moved, slip)
    fault = Fault((How.DOES_NOT_MOVE_END,), task=task.id, minutes=moved)
    return Check(Key.CRITICAL_PATH_TEST, Verdict.FAILS, moved, slip, faults=(fault,))


def path_from_now(subject: Subject) -> Check:
    """Whether the critical path begins at the status time, of the one task that heads it.

    Where it does not, something outside the network holds the end: a date that was set. No limit
    is set.
    """
    task = next(_open_path(subject), None)
    if task is None:
        return untold(Key.PATH_FROM_NOW, Why.NO_WORK_LEFT)
    waits = subject.calendar.shop_between(subject.now, subject.dates(task).early_start)
    idle = task.started is None and subject.dates(task).driving is None and waits > 0
    faults = [Fault((How.STARTS_LATE,), task=task.id, minutes=waits)] if idle else []
    return judged(Key.PATH_FROM_NOW, 1, faults)


def _open_path(subject: Subject) -> Iterator[Task]:
    """The tasks of the critical path that are still to be done."""
    open_ids = {task.id for task in subject.incomplete}
    return (subject.by_id[id] for id in subject.plan.critical_path if id in open_ids)


def _movable(subject: Subject) -> Iterator[Task]:
    """Those of them that can slip: not what holds the next one by a start that was long ago."""
    path = list(_open_path(subject))
    for task, following in zip_longest(path, path[1:]):
        driving = None if following is None else subject.dates(following).driving
        from_start = driving is not None and driving.kind in (LinkKind.SS, LinkKind.SF)
        if task.started is None or not from_start:
            yield task


def _push(subject: Subject, task: Task, slip: int) -> Task:
    """The task, kept back by so many shop minutes."""
    if task.started is not None:
        return replace(task, left=task.work + slip)
    start = subject.calendar.shop_at(subject.dates(task).early_start)
    return replace(task, not_before=subject.calendar.clock_at_start(start + slip))


def _waits_for_stretch(subject: Subject, task: Task, after: Schedule, slip: int) -> int:
    """Shop minutes by which pushed work in one go starts later still, for want of a stretch."""
    if task.started is not None:
        return 0
    start, then = subject.dates(task).early_start, after.dates[task.id].early_start
    return subject.calendar.shop_between(start, then) - slip


def _give(subject: Subject, plan: Schedule, first: TaskId) -> int:
    """Shop minutes on the rest of a critical path that may be others elsewhere in the calendar.

    All that lies between the ends that its links join, less the lags in shop hours: cures, lags by
    the clock, and the waits of unbroken work for a stretch.
    """
    shop = subject.calendar.shop_at
    path = plan.critical_path[plan.critical_path.index(first) :]
    last = plan.dates[path[-1]]
    give = shop(last.cured) - shop(last.early_finish)
    for id in path[1:]:
        dates, link = plan.dates[id], plan.dates[id].driving
        if link is None:
            continue
        before = plan.dates[link.before]
        held = shop(dates.early_finish)
        if link.kind in (LinkKind.FS, LinkKind.SS):
            held -= subject.by_id[id].work
        from_finish = link.kind in (LinkKind.FS, LinkKind.FF)
        asked = shop(before.early_finish if from_finish else before.early_start)
        if link.lag_in is LagIn.SHOP:
            asked += link.lag
        else:  # a lead may take all or nothing of the shop hours
            give += max(-link.lag, 0)
        give += abs(held - asked)
    return give
