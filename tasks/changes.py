"""Changes of the plan that touch several rows: each alone on its build, each in one transaction."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import TypeVar

from django.db import models, transaction
from django.db.models import Max, RestrictedError, Sum

from tasks.hours import show_hours
from tasks.models import Build, Crew, Person, Role, ShopHours, Stage, Task, Work

__all__ = [
    "Refused",
    "Stretches",
    "alone",
    "alone_on",
    "delete_build",
    "delete_stage",
    "delete_task",
    "fix_turn",
    "free_turn",
    "last_place",
    "make_build",
    "move",
    "next_code",
    "pin",
    "set_week",
]

Stretches = dict[int, list[tuple[int, int]]]
Row = TypeVar("Row", Stage, Task)


class Refused(Exception):
    """A change that would lose something; the message says what and what to do."""

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


@contextmanager
def alone_on(build: Build) -> Iterator[Build]:
    """A transaction in which nobody else changes the plan of this build."""
    with transaction.atomic():
        yield Build.objects.select_for_update().get(pk=build.pk)


@contextmanager
def alone(person: Person) -> Iterator[Person]:
    """A transaction in which this person starts no other build."""
    with transaction.atomic():
        yield Person.objects.select_for_update().get(pk=person.pk)


def last_place(rows: models.QuerySet) -> int:
    """The place after all of these."""
    last: int | None = rows.aggregate(last=Max("order"))["last"]
    return 0 if last is None else last + 1


def next_code(build: Build) -> str:
    """The number that a new task gets: one more than the highest, written as that one is.

    After T07 comes T08, after 12 comes 13.
    """
    best = ("", 0, 1)
    for code in Task.objects.filter(build=build).values_list("code", flat=True):
        match = re.fullmatch(r"(\D*)(\d{1,12})", code, re.ASCII)
        if match and int(match[2]) > best[1]:
            best = (match[1], int(match[2]), len(match[2]))
    prefix, highest, width = best
    return f"{prefix}{highest + 1:0{width}}"


def move(row: Row, siblings: Iterable[Row], way: str) -> None:
    """Change places with the one before (`way` is “up”) or after; at the ends nothing happens."""
    order = list(siblings)
    place = order.index(row)
    other = place + (-1 if way == "up" else 1)
    if 0 <= other < len(order):
        order[place], order[other] = order[other], order[place]
    changed = [sibling for number, sibling in enumerate(order) if sibling.order != number]
    for number, sibling in enumerate(order):
        sibling.order = number
    type(row)._default_manager.bulk_update(changed, ["order"])
    row.build.touch_plan()


def pin(task: Task, moment: dt.datetime | None) -> None:
    """Have a task start at just this time; None lets it go."""
    Task.objects.filter(pk=task.pk).update(pinned_at=moment)
    task.build.touch_plan()


def fix_turn(task: Task, after: Task) -> None:
    """Have a task begin after another: both stand in the build's fixed order from now on.

    What is in the fixed order already keeps its turn; the task is put right behind `after`.
    """
    with alone_on(task.build) as build:
        fixed = list(Task.objects.filter(build=build, turn__isnull=False).order_by("turn", "pk"))
        fixed = [one for one in fixed if one.pk != task.pk]
        if after.pk not in {one.pk for one in fixed}:
            fixed.append(after)
        place = next(number for number, one in enumerate(fixed) if one.pk == after.pk)
        fixed.insert(place + 1, task)
        for turn, one in enumerate(fixed, 1):
            Task.objects.filter(pk=one.pk).update(turn=turn)
        build.touch_plan()


def free_turn(task: Task) -> None:
    """Take a task out of the fixed order; a last one alone in it goes too."""
    with alone_on(task.build) as build:
        Task.objects.filter(pk=task.pk).update(turn=None)
        rest = Task.objects.filter(build=build, turn__isnull=False)
        if rest.count() == 1:
            rest.update(turn=None)
        build.touch_plan()


def delete_task(task: Task) -> None:
    """Delete a task and its links. Refused where hours, parts or anything recorded hang on it."""
    with transaction.atomic():
        held = [*_hours_of(task), *_record_of(task)]
        try:
            with transaction.atomic():
                # Tried first, for the other rooms' say; a copy, for its number goes with it.
                Task.objects.get(pk=task.pk).delete()
                if held:
                    raise Refused(_cannot(task, held))
        except RestrictedError as error:
            others = [row for row in error.restricted_objects if not isinstance(row, Work)]
            raise Refused(_cannot(task, [*held, *_counted(others)])) from None


def _cannot(task: Task, held: Iterable[str]) -> str:
    return (
        f"{task} cannot be deleted: {', '.join(held)} hang on it. Move them to another task first, "
        "or keep it and finish it."
    )


def _hours_of(task: Task) -> list[str]:
    rows = Work.objects.filter(task=task)
    if not rows.exists():
        return []
    minutes = rows.aggregate(total=Sum("minutes", default=0))["total"]
    running = rows.filter(minutes=None).exists()
    return [f"{show_hours(minutes)} logged{' and a running clock' if running else ''}"]


def _record_of(task: Task) -> list[str]:
    """What other rooms say of a task through many-to-many tables, which a deletion would empty."""
    held = []
    for relation in task._meta.related_objects:
        if relation.many_to_many:
            count = getattr(task, str(relation.get_accessor_name())).count()
            if count:
                held.append(_count(count, relation.related_model))
    return held


def _counted(rows: Iterable[models.Model]) -> list[str]:
    by_model: dict[type[models.Model], int] = {}
    for row in rows:
        by_model[type(row)] = by_model.get(type(row), 0) + 1
    return [_count(count, model) for model, count in by_model.items()]


def _count(count: int, model: type[models.Model]) -> str:
    names = model._meta
    return f"{count} {names.verbose_name if count == 1 else names.verbose_name_plural}"


def delete_build(build: Build) -> None:
    """Delete a build with all that belongs to it: plan, record, money, files. For good."""
    with alone_on(build) as fresh:
        fresh.delete()


def delete_stage(stage: Stage) -> None:
    """Delete a stage that no task belongs to."""
    try:
        stage.delete()
    except RestrictedError:
        count = Task.objects.filter(stage=stage).count()
        tasks = "one task belongs" if count == 1 else f"{count} tasks belong"
        raise Refused(
            f"{stage} cannot be deleted: {tasks} to it. Move them to another stage first."
        ) from None


def set_week(build: Build, week: Stretches) -> None:
    """Put a new week's pattern of shop hours in the place of the old one."""
    ShopHours.objects.filter(build=build).delete()
    ShopHours.objects.bulk_create(
        ShopHours(build=build, weekday=weekday, start_minute=start, end_minute=end)
        for weekday, stretches in week.items()
        for start, end in stretches
    )
    build.touch_plan()


def make_build(build: Build, owner: Person, week: Stretches) -> Build:
    """Start a build for its owner, with an address of its own and the hours they work."""
    build.take_slug()
    build.save()
    Crew.objects.create(build=build, person=owner, role=Role.OWNER)
    set_week(build, week)
    return build
