"""Write log entries and the hours that they tell of: the one way, for pages, imports and API.

Each call is one transaction. A save that was begun on an older text is refused and loses
nothing; an entry sent twice with one key is one entry; nobody's hours change unseen.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from django.core.exceptions import PermissionDenied
from django.db import IntegrityError, transaction
from django.utils import timezone

from buildlog.journal.models import Entry
from tasks.models import Build, Crew, Person, Task, Work


class Stale(Exception):
    """The entry, or hours of it, were changed after the page was opened. Nothing was saved."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


@dataclass(frozen=True)
class Hours:
    """Hours of one person to be logged; or, with `work`, what a logged row is to become.

    `minutes` None removes that row. `was` is what the row said when the page was opened.
    """

    minutes: int | None
    person: Person | None = None
    who: str = ""
    task: Task | None = None
    work: Work | None = None
    was: int | None = None

    @property
    def name(self) -> str:
        return (str(self.person) if self.person else self.who)[:120]


@dataclass(frozen=True)
class Writing:
    """All that an entry is to say. `hours` names only the rows to add or to change."""

    day: dt.date
    text: str = ""
    tasks: Sequence[Task] = ()
    hours: Sequence[Hours] = ()
    air_c: Decimal | None = None
    surface_c: Decimal | None = None
    humidity: Decimal | None = None
    key: str = field(default="", kw_only=True)

    def columns(self) -> dict[str, object]:
        names = ("day", "text", "air_c", "surface_c", "humidity")
        return {name: getattr(self, name) for name in names}


def may_change(crew: Crew, entry: Entry) -> bool:
    """Planners change any entry, others who log their own."""
    own = entry.author_id is not None and entry.author_id == crew.person_id
    return crew.may("plan") or (crew.may("log") and own)


def may_change_hours(crew: Crew, work: Work) -> bool:
    """Planners change anybody's hours, others their own; a running clock is stopped instead."""
    own = work.person_id is not None and work.person_id == crew.person_id
    return not work.running and (crew.may("plan") or (crew.may("log") and own))


def add_entry(build: Build, crew: Crew, writing: Writing) -> tuple[Entry, bool]:
    """A new entry; or, where one was sent with the same key before, that one and False."""
    try:
        with transaction.atomic():
            if sent := _sent_before(build, writing.key):
                return sent, False
            entry = Entry.objects.create(
                build=build, author=crew.person, key=writing.key, **writing.columns()
            )
            entry.tasks.set(writing.tasks)
            for hours in writing.hours:
                _add_hours(entry, hours, crew)
            return entry, True
    except IntegrityError:  # the same key came twice in the same moment
        if sent := _sent_before(build, writing.key):
            return sent, False
        raise


def change_entry(entry: Entry, crew: Crew, writing: Writing, version: int) -> Entry:
    """Change an entry that stood at `version` when the page was opened. Raises `Stale`."""
    if not may_change(crew, entry):
        raise PermissionDenied("It is another's entry: only a planner or the owner may change it.")
    with transaction.atomic():
        before = Entry.objects.select_for_update().filter(pk=entry.pk).first()
        if before is None:
            raise Stale("This entry was deleted meanwhile.")
        if writing.key and before.save_key == writing.key:
            return before  # the same save came twice
        if before.version != version:
            raise Stale("This entry was changed in another window or by somebody else.")
        Entry.objects.filter(pk=entry.pk).update(
            version=version + 1,
            save_key=writing.key,
            changed_at=timezone.now(),
            **writing.columns(),
        )
        entry = Entry.objects.get(pk=entry.pk)
        entry.tasks.set(writing.tasks)
        for hours in writing.hours:
            if hours.work is None:
                _add_hours(entry, hours, crew)
            else:
                _change_hours(entry, hours.work, hours, crew)
        if entry.day != before.day:
            _move_hours(entry, before.day, crew)
    return entry


def delete_entry(entry: Entry, crew: Crew, *, with_hours: bool = False) -> None:
    """Delete an entry. Its photos stay; its hours stay too, unless the person's own are to go."""
    if not may_change(crew, entry):
        raise PermissionDenied("It is another's entry: only a planner or the owner may delete it.")
    with transaction.atomic():
        if with_hours:
            for work in entry.work.all():
                if may_change_hours(crew, work):
                    work.delete()
        entry.delete()


def _sent_before(build: Build, key: str) -> Entry | None:
    return Entry.objects.filter(build=build, key=key).first() if key else None


def _add_hours(entry: Entry, hours: Hours, crew: Crew) -> None:
    if not crew.may("plan") and hours.person != crew.person:
        raise PermissionDenied("You log your own hours only.")
    if not hours.minutes:
        return
    entry.work.add(
        Work.objects.create(
            build=entry.build,
            task=hours.task,
            person=hours.person,
            who=hours.name,
            day=entry.day,
            minutes=hours.minutes,
        )
    )


def _change_hours(entry: Entry, logged: Work, hours: Hours, crew: Crew) -> None:
    work = entry.work.select_for_update().filter(pk=logged.pk).first()
    if work is None or work.minutes != hours.was:
        raise Stale(f"The hours of {hours.name} were changed meanwhile.")
    if not may_change_hours(crew, work):
        raise PermissionDenied(f"The hours of {work.who} are not yours to change.")
    if not hours.minutes:
        work.delete()
        return
    if not crew.may("plan") and hours.person != crew.person:
        raise PermissionDenied("You log your own hours only.")
    work.minutes, work.task = hours.minutes, hours.task
    work.person, work.who = hours.person, hours.name
    work.save()


def _move_hours(entry: Entry, day_before: dt.date, crew: Crew) -> None:
    """Hours that the person may change follow the entry to another day."""
    for work in entry.work.filter(day=day_before):
        if may_change_hours(crew, work):
            work.day = entry.day
            work.save(update_fields=["day"])
