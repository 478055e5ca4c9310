"""The log in: known again by day, task, person and words, and by turn where two rows are alike.

Rows that follow each other with the same day and words are one entry. A row without words and
readings is hours only. What is written are the rows that `journal.writing` makes, in bulk: ten
thousand of them one by one would hold up everybody else for a minute.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.utils import timezone

from buildlog.journal.models import Entry
from buildlog.lists.fold import fold_name
from buildlog.lists.kinds.base import Bringing, check_fields, turns
from buildlog.lists.kinds.finding import People, Tasks
from buildlog.lists.kinds.log.rows import LogRow, log_rows
from buildlog.lists.records import Record, State
from tasks.models import Person, Task, Work

READINGS = {"air": "air_c", "surface": "surface_c", "humidity": "humidity"}
A_DAY = 24 * 60


def check(bringing: Bringing) -> None:
    tasks = Tasks(bringing.build)
    known = _Known(bringing)
    turn = turns()
    before: LogRow | None = None
    for record in bringing.records:
        task = tasks.of(record, "task")
        _refuse_nothing(record)
        if not record.good:
            continue
        who, person = known.who(record)
        key = (record.get("day"), task.pk if task else None, _one(who, person),
               fold_name(record.get("text", "")))  # fmt: skip
        before = _settle(record, known.rows.get(turn(key)), task, (who, person), before, bringing)
    to_come = sum(1 for record in bringing.good if record.get("day") > bringing.today)
    if to_come:
        bringing.note(f"{to_come} of the rows are of a day that has not come yet. Check the dates.")
    if bringing.found.has("hours") and not bringing.found.has("person"):
        bringing.note(
            f"No column says who worked, so the hours are taken as those of {bringing.person}."
        )


def _one(who: str, person: Person | None) -> Any:
    return person.pk if person else fold_name(who)


class _Known:
    """The rows that the build's log has, by key and turn, and the people in it."""

    def __init__(self, bringing: Bringing) -> None:
        self._me = bringing.person
        self._people = People(bringing.build, bringing.person)
        rows = list(log_rows(bringing.build))
        # A person may have been called otherwise when the hours were logged.
        self._called = {
            fold_name(row.work.who): row.work.person_id
            for row in rows
            if row.work and row.work.person_id
        }
        turn = turns()
        self.rows: dict[Any, LogRow] = {}
        for row in rows:
            words = fold_name(row.entry.text) if row.entry else ""
            task = row.task.pk if row.task else None
            self.rows[turn((row.day, task, self._key(row.work), words))] = row

    def _key(self, work: Work | None) -> Any:
        if work is None:
            return ""
        return work.person_id or _one(work.who, self._people.find(work.who))

    def who(self, record: Record) -> tuple[str, Person | None]:
        """The name to keep and the person it is, if one of the crew."""
        text = record.get("person", "")
        if not text:
            return (str(self._me), self._me) if record.get("hours") else ("", None)
        person = self._people.find(text)
        if person is None and fold_name(text) in self._called:
            person = Person(pk=self._called[fold_name(text)], name=text)
        return (str(person) if person else text)[:120], person


def _refuse_nothing(record: Record) -> None:
    if not record.good:
        return
    minutes = record.get("hours")
    if minutes is not None and minutes > A_DAY:
        record.refuse("hours", "too-large", "A day has 24 hours; give each day and person a row.")
    elif (
        not minutes
        and not record.get("text")
        and not any(record.get(k) is not None for k in READINGS)
    ):
        record.refuse("text" if record.has("text") else "hours", "needed",
                      "The row says nothing: no hours, no words, no readings.")  # fmt: skip


def _settle(
    record: Record,
    row: LogRow | None,
    task: Task | None,
    by: tuple[str, Person | None],
    before: LogRow | None,
    bringing: Bringing,
) -> LogRow:
    """Put what the record says on its row of the log; give that back for the next to join."""
    known = row is not None
    day = record.get("day")
    entry = row.entry if row else None
    if not known and _says_words(record):
        follows = before and before.entry and _is_of(before, record)
        entry = before.entry if follows and before else _new_entry(record, bringing)
    row = row or LogRow(day, entry, task, None)
    changed = [] if entry is None else _put_readings(record, entry)
    minutes = record.get("hours")
    if minutes and row.work is None:
        who, person = by
        row.work = Work(build=bringing.build, task=task, person=person, who=who, day=day,
                        minutes=minutes)  # fmt: skip
        check_fields(record, row.work, {"minutes": "hours", "who": "person"})
        changed.append("hours")
    elif minutes and row.work and row.work.minutes != minutes:
        row.work.minutes = minutes
        changed.append("hours")
    record.target = row
    record.outcome = State.NEW if not known else State.CHANGED if changed else State.UNCHANGED
    record.changes = changed if known else []
    return row


def _says_words(record: Record) -> bool:
    return bool(record.get("text")) or any(record.get(key) is not None for key in READINGS)


def _is_of(row: LogRow, record: Record) -> bool:
    words, entry = record.get("text", ""), row.entry
    return bool(words and entry and entry.text == words and row.day == record.get("day"))


def _new_entry(record: Record, bringing: Bringing) -> Entry:
    return Entry(build=bringing.build, day=record.get("day"), text=record.get("text", ""),
                 author=bringing.person)  # fmt: skip


def _put_readings(record: Record, entry: Entry) -> list[str]:
    changed = []
    for key, field in READINGS.items():
        value = record.get(key)
        if value is not None and getattr(entry, field) != value:
            setattr(entry, field, value)
            changed.append(key)
    if changed:
        check_fields(record, entry, {field: key for key, field in READINGS.items()})
    return changed


def write(bringing: Bringing) -> None:
    rows: list[LogRow] = [record.target for record in bringing.going]
    _save_entries(rows)
    works = [row.work for row in rows if row.work]
    known = [work for work in works if work.pk is not None]
    Work.objects.bulk_create([work for work in works if work.pk is None], batch_size=500)
    Work.objects.bulk_update(known, ["minutes"], batch_size=200)
    told, worked = Entry.tasks.through, Entry.work.through
    about = [(r.entry.pk, r.task.pk) for r in rows if r.entry and r.task]
    hours = [(r.entry.pk, r.work.pk) for r in rows if r.entry and r.work]
    told.objects.bulk_create(
        [told(entry_id=entry, task_id=task) for entry, task in about],
        batch_size=500,
        ignore_conflicts=True,
    )
    worked.objects.bulk_create(
        [worked(entry_id=entry, work_id=work) for entry, work in hours],
        batch_size=500,
        ignore_conflicts=True,
    )
    if rows:
        bringing.build.touch_plan()


def _save_entries(rows: list[LogRow]) -> None:
    entries = list({id(row.entry): row.entry for row in rows if row.entry}.values())
    now: dt.datetime = timezone.now()
    old = [entry for entry in entries if entry.pk is not None]
    for entry in old:
        entry.version += 1
        entry.changed_at = now
    fields = [*READINGS.values(), "version", "changed_at"]
    Entry.objects.bulk_update(old, fields, batch_size=200)
    Entry.objects.bulk_create([entry for entry in entries if entry.pk is None], batch_size=500)
