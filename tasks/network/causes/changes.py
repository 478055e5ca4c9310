"""What is another in one set of facts than in the other, row by row."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TypeAlias

from tasks.network.causes.facts import Facts, TaskFacts
from tasks.network.causes.values import Change, What
from tasks.network.inputs import Help
from tasks.network.values import Link, LinkKind, TaskId

__all__ = [
    "by_ends",
    "changed_cures",
    "changed_hands",
    "changed_limits",
    "changed_links",
    "changed_shop",
    "changed_tasks",
    "same_in",
    "with_fields",
]

Ends: TypeAlias = tuple[TaskId, TaskId, LinkKind]


def same_in(one: TaskFacts, other: TaskFacts, *fields: str) -> bool:
    return all(getattr(one, name) == getattr(other, name) for name in fields)


def with_fields(old: Facts, new: Facts, *fields: str) -> dict[int, TaskFacts]:
    """The old tasks with some fields as the new ones have them, where there is a new one."""
    tasks = dict(old.tasks)
    for pk, task in tasks.items():
        if pk in new.tasks and not same_in(task, new.tasks[pk], *fields):
            tasks[pk] = replace(task, **{name: getattr(new.tasks[pk], name) for name in fields})
    return tasks


def by_ends(links: Iterable[Link]) -> dict[Ends, Link]:
    return {(link.before, link.after, link.kind): link for link in links}


def changed_shop(old: Facts, new: Facts) -> list[Change]:
    """Days off that lay behind already are no change: they could not move anything."""
    changes = []
    if _plain(old.week) != _plain(new.week):
        changes.append(Change(What.WEEK))
    if old.zone.key != new.zone.key:
        changes.append(Change(What.ZONE))
    for what, these, those in (
        (What.DAY_OFF_ADDED, new.days_off, old.days_off),
        (What.DAY_OFF_REMOVED, old.days_off, new.days_off),
    ):
        spans = {(first, last) for first, last, _ in those}
        changes += [
            Change(what, first=first, last=last, reason=reason)
            for first, last, reason in these
            if (first, last) not in spans and last >= old.today
        ]
    return changes


def _plain(week: Mapping[int, Iterable[tuple[int, int]]]) -> dict[int, list[tuple[int, int]]]:
    return {day: sorted((one[0], one[1]) for one in rows) for day, rows in week.items() if rows}


def changed_hands(old: Facts, new: Facts) -> list[Change]:
    changes = []
    if old.hands != new.hands:
        changes.append(Change(What.HANDS, was=old.hands, now=new.hands))
    changes += [_help(What.HELP_ADDED, one) for one in _without(new.help, old.help)]
    changes += [_help(What.HELP_REMOVED, one) for one in _without(old.help, new.help)]
    for row in dict.fromkeys((*old.things, *new.things)):
        was, now = old.things.get(row), new.things.get(row)
        if was != now:
            changes.append(Change(What.THING, row=row, was=was, now=now))
    for pk, was_task, task in _both(old, new):
        if was_task.hands != task.hands:
            changes.append(Change(What.TASK_HANDS, (pk,), was=was_task.hands, now=task.hands))
        if was_task.things != task.things:
            changes.append(Change(What.TASK_THINGS, (pk,)))
    return changes


def _without(these: Iterable[Help], those: Iterable[Help]) -> list[Help]:
    rest, left = list(those), []
    for one in these:
        if one in rest:
            rest.remove(one)
        else:
            left.append(one)
    return left


def _help(what: What, one: Help) -> Change:
    return Change(what, row=one.weekday, now=one.hands, first=one.first, last=one.last)


def changed_tasks(old: Facts, new: Facts) -> list[Change]:
    added = [pk for pk in new.tasks if pk not in old.tasks]
    removed = [pk for pk in old.tasks if pk not in new.tasks]
    return [
        *(Change(What.TASK_ADDED, (pk,), now=new.tasks[pk].whole) for pk in added),
        *(Change(What.TASK_REMOVED, (pk,), was=old.tasks[pk].whole) for pk in removed),
        *(
            Change(What.DOING, (pk,), reason=task.doing)
            for pk, was, task in _both(old, new)
            if was.doing != task.doing
        ),
    ]


def changed_links(old: Mapping[Ends, Link], new: Mapping[Ends, Link]) -> list[Change]:
    changes = []
    for ends in dict.fromkeys((*old, *new)):
        if old.get(ends) == new.get(ends):
            continue
        what = What.LINK_CHANGED
        if ends not in old:
            what = What.LINK_ADDED
        elif ends not in new:
            what = What.LINK_REMOVED
        changes.append(Change(what, (int(ends[0]), int(ends[1]))))
    return changes


def changed_limits(old: Facts, new: Facts) -> list[Change]:
    changes = [
        Change(What.LIMIT, row=row, was=int(row in old.limits), now=int(row in new.limits))
        for row in dict.fromkeys((*old.limits, *new.limits))
        if old.limits.get(row) != new.limits.get(row)
    ]
    if sorted(old.heated) != sorted(new.heated):
        changes.append(Change(What.HEATED))
    for pk, was, task in _both(old, new):
        if was.limit != task.limit:
            changes.append(Change(What.KEEPS_TO, (pk,), row=task.limit))
        for what, name in ((What.PIN, "pin"), (What.NOT_BEFORE, "not_before")):
            if not same_in(was, task, name):
                before, now = getattr(was, name), getattr(task, name)
                changes.append(Change(what, (pk,), was=before, now=now))
        if was.turn != task.turn:
            changes.append(Change(What.TURN, (pk,), was=was.turn, now=task.turn))
        if was.unbroken != task.unbroken:
            changes.append(Change(What.UNBROKEN, (pk,), was=was.unbroken, now=task.unbroken))
    return changes


def changed_cures(old: Facts, new: Facts) -> list[Change]:
    return [
        Change(What.CURE, (pk,), was=was.cure, now=task.cure)
        for pk, was, task in _both(old, new)
        if was.cure != task.cure
    ]


def _both(old: Facts, new: Facts) -> list[tuple[int, TaskFacts, TaskFacts]]:
    return [(pk, old.tasks[pk], task) for pk, task in new.tasks.items() if pk in old.tasks]
