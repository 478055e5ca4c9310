"""Is the work tied together? The checks of links: points 1 to 5, loose ends, work out of order."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from tasks.network.health.judging import judged
from tasks.network.health.values import Check, Fault, How, Key, Subject
from tasks.network.values import Link, LinkKind, Task, TaskId

__all__ = [
    "hard_constraints",
    "lags",
    "leads",
    "link_kinds",
    "logic",
    "loose_ends",
    "out_of_order",
]

_FROM_FINISH = (LinkKind.FS, LinkKind.FF)
_TO_START = (LinkKind.FS, LinkKind.SS)


def logic(subject: Subject) -> Check:
    """Point 1: incomplete tasks without a link into them, or without one out of them.

    The task that all begins with and the one that all ends with lack one by nature and are counted
    all the same, as the formula has it; the 5 % leave room for them. Limit from secondary
    summaries.
    """
    led_to = {link.after for link in subject.links}
    leads_on = {link.before for link in subject.links}

    def hows(task: Task) -> Iterator[How]:
        if task.id not in led_to:
            yield How.NO_BEFORE
        if task.id not in leads_on:
            yield How.NO_AFTER

    return _of_tasks(Key.LOGIC, subject, hows)


def loose_ends(subject: Subject) -> Check:
    """Linked tasks of which an end is loose all the same.

    A start that has not come is loose where links lead to the task but none holds its start, a
    finish where links lead on from it but none waits for its finish: such work may begin, or drag
    on, as it likes. What has no link at all is in point 1. None may stay; from memory.
    """
    into: dict[TaskId, set[LinkKind]] = {}
    out: dict[TaskId, set[LinkKind]] = {}
    for link in subject.links:
        into.setdefault(link.after, set()).add(link.kind)
        out.setdefault(link.before, set()).add(link.kind)

    def hows(task: Task) -> Iterator[How]:
        before, after = into.get(task.id), out.get(task.id)
        if before and task.started is None and not before.intersection(_TO_START):
            yield How.LOOSE_START
        if after and not after.intersection(_FROM_FINISH):
            yield How.LOOSE_FINISH

    return _of_tasks(Key.LOOSE_ENDS, subject, hows)


def leads(subject: Subject) -> Check:
    """Point 2: links with a negative lag, by links. Limit from secondary summaries.

    Of the links in points 2 to 4 those count that lead to an incomplete task: others hold nothing
    any more.
    """
    return _of_links(Key.LEADS, subject, How.LEAD, lambda link: link.lag < 0)


def lags(subject: Subject) -> Check:
    """Point 3: links with a positive lag, by links. Limit from secondary summaries.

    A cure is no lag: it belongs to the task that makes the joint.
    """
    return _of_links(Key.LAGS, subject, How.LAG, lambda link: link.lag > 0)


def link_kinds(subject: Subject) -> Check:
    """Point 4: links from finish to start, by links; the others are the faults.

    Limit from secondary summaries.
    """
    faults = [
        Fault((How.OTHER_KIND,), link=place)
        for place, link in subject.open_links
        if link.kind is not LinkKind.FS
    ]
    base = len(subject.open_links)
    return judged(Key.LINK_KINDS, base, faults, base - len(faults))


def hard_constraints(subject: Subject) -> Check:
    """Point 5: incomplete tasks with a hard constraint, by incomplete tasks.

    What has begun is held by no date any more. Limit from secondary summaries.
    """

    def hows(task: Task) -> Iterator[How]:
        if task.id in subject.pinned and task.started is None:
            yield How.PINNED

    return _of_tasks(Key.HARD_CONSTRAINTS, subject, hows)


def out_of_order(subject: Subject) -> Check:
    """Work that was begun, or ended, before what its link asks for was over.

    The plan makes what is left of it wait as if the link were true; the builder knows better. A
    lag is not looked at: that the work itself came out of turn is what tells. None may stay; from
    memory.
    """
    faults = [
        Fault((How.OUT_OF_ORDER,), link=place)
        for place, link in subject.open_links
        if _is_out_of_order(subject.by_id[link.before], link, subject.by_id[link.after])
        and link.before not in subject.left_out
    ]
    return judged(Key.OUT_OF_ORDER, len(subject.open_links), faults)


def _is_out_of_order(before: Task, link: Link, after: Task) -> bool:
    asked = before.finished if link.kind in _FROM_FINISH else before.started
    if asked is None and link.kind not in _FROM_FINISH:
        asked = before.finished  # taken to have started as it finished
    done = after.started if link.kind in _TO_START else after.finished
    return done is not None and link.lag >= 0 and (asked is None or asked > done)


def _of_tasks(key: Key, subject: Subject, hows: Callable[[Task], Iterator[How]]) -> Check:
    found = [(task, tuple(hows(task))) for task in subject.incomplete]
    faults = [Fault(ways, task=task.id) for task, ways in found if ways]
    return judged(key, len(subject.incomplete), faults)


def _of_links(key: Key, subject: Subject, how: How, at_fault: Callable[[Link], bool]) -> Check:
    faults = [
        Fault((how,), link=place, minutes=link.lag)
        for place, link in subject.open_links
        if at_fault(link)
    ]
    return judged(key, len(subject.open_links), faults)
