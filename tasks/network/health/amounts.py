"""Are the amounts sound? Float, durations, estimates, resources: points 6 to 8 and 10."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace

from tasks.network.health.judging import judged, untold
from tasks.network.health.published import TOO_MANY_DAYS
from tasks.network.health.values import Check, Fault, How, Key, Subject, Why
from tasks.network.values import Task, TaskId

__all__ = [
    "high_duration",
    "high_float",
    "negative_float",
    "no_work",
    "one_guess",
    "resources",
    "unplanned",
]


def high_float(subject: Subject) -> Check:
    """Point 6: incomplete tasks with a total float over 44 working days, by incomplete tasks.

    Limit from secondary summaries. Whoever builds alone has plenty of such tasks.
    """
    limit = TOO_MANY_DAYS * subject.day
    return judged(
        Key.HIGH_FLOAT,
        len(subject.incomplete),
        [
            Fault((How.MUCH_FLOAT,), task=task.id, minutes=subject.dates(task).total_float)
            for task in subject.incomplete
            if subject.dates(task).total_float > limit
        ],
    )


def negative_float(subject: Subject) -> Check:
    """Point 7: incomplete tasks with a total float under 0. Limit from secondary summaries.

    Float is counted back from the promised end. Without a promise it is counted back from the
    planned end, and then none can be under 0 but of work that was begun out of turn; where none
    is, that tells nothing.
    """
    spare = 0
    if subject.baseline is not None:
        spare = subject.calendar.shop_between(subject.plan.launch, subject.baseline.end)
    floats = [(task, subject.dates(task).total_float + spare) for task in subject.incomplete]
    faults = [Fault((How.LATE,), task=task.id, minutes=left) for task, left in floats if left < 0]
    if subject.baseline is None and not faults and subject.incomplete:
        return untold(Key.NEGATIVE_FLOAT, Why.NO_PROMISE)
    return judged(Key.NEGATIVE_FLOAT, len(subject.incomplete), faults)


def high_duration(subject: Subject) -> Check:
    """Point 8: incomplete tasks of more than 44 working days, by incomplete tasks.

    Limit from secondary summaries. The duration is that of the whole task, worked or not.
    """
    limit = TOO_MANY_DAYS * subject.day
    return judged(
        Key.HIGH_DURATION,
        len(subject.incomplete),
        [
            Fault((How.LONG,), task=task.id, minutes=task.minutes)
            for task in subject.incomplete
            if task.minutes > limit
        ],
    )


def no_work(subject: Subject) -> Check:
    """Incomplete tasks with neither work nor cure: moments, or work that nobody has estimated."""
    return judged(
        Key.NO_WORK,
        len(subject.incomplete),
        _each(How.NO_WORK, (task for task in subject.incomplete if not task.minutes + task.cure)),
    )


def one_guess(subject: Subject) -> Check:
    """Incomplete tasks with work of which low and high estimate are the same.

    A forecast takes such work for certain. No limit is set.
    """
    if subject.guessed is None:
        return untold(Key.ONE_GUESS, Why.GUESSES_UNKNOWN)
    worked = [task for task in subject.incomplete if task.minutes]
    return judged(Key.ONE_GUESS, len(worked), _without(How.ONE_GUESS, worked, subject.guessed))


def resources(subject: Subject) -> Check:
    """Point 10: incomplete tasks of a day or more with neither resource nor cost, by incomplete.

    No limit is set; the base is from memory.
    """
    if subject.resourced is None:
        return untold(Key.RESOURCES, Why.RESOURCES_UNKNOWN)
    long = (task for task in subject.incomplete if task.minutes >= subject.day)
    return judged(
        Key.RESOURCES,
        len(subject.incomplete),
        _without(How.NO_RESOURCE, long, subject.resourced),
    )


def unplanned(subject: Subject) -> Check:
    """People-minutes logged for no task, by all that were logged: work that the plan forgot."""
    if subject.logged is None:
        return untold(Key.UNPLANNED, Why.HOURS_UNKNOWN)
    planned, whole = subject.logged
    check = judged(Key.UNPLANNED, whole, (), whole - planned)
    return check if check.why is None else replace(check, why=Why.HOURS_UNKNOWN)


def _each(how: How, tasks: Iterable[Task]) -> list[Fault]:
    return [Fault((how,), task=task.id) for task in tasks]


def _without(how: How, tasks: Iterable[Task], having: Collection[TaskId]) -> list[Fault]:
    return _each(how, (task for task in tasks if task.id not in having))
