"""Does the plan follow what happened? Dates and the baseline: points 9, 11, 13 and 14."""

from __future__ import annotations

from collections.abc import Iterator

from tasks.network.health.judging import judged, untold
from tasks.network.health.values import Baseline, Check, Fault, How, Key, Subject, Why
from tasks.network.values import Task

__all__ = ["bei", "cpli", "invalid_dates", "missed", "not_in_baseline"]


def invalid_dates(subject: Subject) -> Check:
    """Point 9: actual dates after the status time, and planned ones before it.

    Counted are the tasks that have one. Limit from secondary summaries.
    """
    found = [(task, tuple(_wrong_dates(subject, task))) for task in subject.counted]
    return judged(
        Key.INVALID_DATES,
        len(subject.counted),
        [Fault(hows, task=task.id) for task, hows in found if hows],
    )


def _wrong_dates(subject: Subject, task: Task) -> Iterator[How]:
    now, dates = subject.now, subject.dates(task)
    if task.started is not None and task.started > now:
        yield How.STARTED_LATER
    if task.finished is not None:
        if task.finished > now:
            yield How.FINISHED_LATER
    elif dates.early_finish < now or (task.started is None and dates.early_start < now):
        yield How.PLANNED_EARLIER


def missed(subject: Subject) -> Check:
    """Point 11: of the tasks that the baseline has finished by now, those later than that.

    A task that is not finished though it was to be is one of them: it will be later. Limit from
    secondary summaries, base from memory.
    """
    if subject.baseline is None:
        return untold(Key.MISSED, Why.NO_BASELINE)
    due = _due(subject, subject.baseline)
    if not due:
        return untold(Key.MISSED, Why.NOTHING_DUE)
    faults = []
    for task in due:
        finish = subject.now if task.finished is None else task.finished
        late = finish - subject.baseline.finishes[task.id]
        if late > 0 or task.finished is None:
            faults.append(Fault((How.MISSED,), task=task.id, minutes=late))
    return judged(Key.MISSED, len(due), faults)


def cpli(subject: Subject) -> Check:
    """Point 13: (critical path length + total float) / critical path length, in shop minutes.

    The length is what lies between the status time and the end of the plan, the float what lies
    between that and the promised end; late, it is negative. Without a promise, and with nothing
    left to do, there is no ratio. Limit from secondary summaries.
    """
    if subject.baseline is None:
        return untold(Key.CPLI, Why.NO_PROMISE)
    length = subject.calendar.shop_between(subject.now, subject.plan.launch)
    if length <= 0 or not subject.incomplete:
        return untold(Key.CPLI, Why.NO_WORK_LEFT)
    spare = subject.calendar.shop_between(subject.plan.launch, subject.baseline.end)
    return judged(Key.CPLI, length, (), length + spare)


def bei(subject: Subject) -> Check:
    """Point 14: tasks completed / tasks that the baseline has completed by the status time.

    Only tasks in the baseline count, or new ones would make up for late ones. With none to be
    completed yet there is no ratio. The limit is from memory.
    """
    if subject.baseline is None:
        return untold(Key.BEI, Why.NO_BASELINE)
    due = _due(subject, subject.baseline)
    done = [
        task
        for task in subject.counted
        if task.id in subject.baseline.finishes
        and task.finished is not None
        and task.finished <= subject.now
    ]
    if not due:
        return untold(Key.BEI, Why.NOTHING_DUE, len(done))
    return judged(Key.BEI, len(due), (), len(done))


def not_in_baseline(subject: Subject) -> Check:
    """Incomplete tasks that the baseline does not know, by incomplete tasks. No limit is set."""
    if subject.baseline is None:
        return untold(Key.NOT_IN_BASELINE, Why.NO_BASELINE)
    return judged(
        Key.NOT_IN_BASELINE,
        len(subject.incomplete),
        [
            Fault((How.NOT_IN_BASELINE,), task=task.id)
            for task in subject.incomplete
            if task.id not in subject.baseline.finishes
        ],
    )


def _due(subject: Subject, baseline: Baseline) -> list[Task]:
    return [
        task
        for task in subject.counted
        if task.id in baseline.finishes and baseline.finishes[task.id] <= subject.now
    ]
