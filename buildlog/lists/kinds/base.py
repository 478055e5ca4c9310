"""What every kind of list is: columns, a check against the build, a way in and a way out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, TypeVar

from django.core.exceptions import ValidationError
from django.db.models import Model

from buildlog.lists.answers import Answers
from buildlog.lists.columns import Column
from buildlog.lists.records import Record, State
from buildlog.lists.understanding import Understanding
from tasks.models import Build, Person

__all__ = ["Bringing", "Kind", "NameAsked", "Value", "by_turn", "check_fields", "settle", "turns"]

M = TypeVar("M", bound=Model)
Value = str | int | bool | Decimal | dt.date | None


@dataclass(frozen=True, slots=True)
class NameAsked:
    """A name in the list that the build does not know, with what may be done about it.

    `choices` are pairs of answer and label; `answer` is the one that stands, "" if it must still
    be given.
    """

    name: str
    key: str
    rows: int
    choices: tuple[tuple[str, str], ...]
    answer: str


@dataclass(slots=True)
class Bringing:
    """A list on its way into a build: what it says, and what that does here.

    `check` of its kind fills states, faults, `notes` (what was taken for granted, for people) and
    `names`; `write` of its kind then makes the changes of `going`.
    """

    build: Build
    person: Person
    found: Understanding
    answers: Answers
    today: dt.date
    notes: list[str] = field(default_factory=list)
    names: list[NameAsked] = field(default_factory=list)
    foreign: set[str] = field(default_factory=set)
    carry: Any = None  # whatever `check` hands on to `write`

    @property
    def records(self) -> list[Record]:
        return self.found.records

    @property
    def good(self) -> list[Record]:
        return [record for record in self.found.records if record.good]

    @property
    def going(self) -> list[Record]:
        """The records that change something, in the file's order, without those refused."""
        return [r for r in self.good if r.state in (State.NEW, State.CHANGED)]

    def note(self, text: str) -> None:
        if text not in self.notes:
            self.notes.append(text)


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of list. To add one: a folder here with `columns`, `bring` and `take`, and a line
    in `kinds.KINDS`.

    Attributes
    ----------
    key, title, one, many
        Its word in addresses; its name on the page; what one row, and several, are called.
    right, see
        The right it takes to bring one in, and to take one out.
    hint
        What such a list holds, for somebody who makes one.
    same
        By what a row is known again, for the page: bringing it again changes it then.
    columns
        In the order in which they go out.
    check, write
        See `Bringing`. `write` runs inside a transaction that the caller has opened.
    take
        Every row of the build's own list, as values by key of column, in a fixed number of
        queries. The flag says whether whoever asks may see money.
    """

    key: str
    title: str
    one: str
    many: str
    right: str
    see: str
    hint: str
    same: str
    columns: tuple[Column, ...]
    check: Callable[[Bringing], None]
    write: Callable[[Bringing], None]
    take: Callable[[Build, bool], Iterator[Mapping[str, Value]]]


def settle(
    record: Record,
    row: M | None,
    make: Callable[[], M],
    given: Mapping[str, tuple[str, Any]],
    *,
    alone: bool = True,
) -> M:
    """Put a record's values on its row, new or known, and say what that changes.

    `given` maps a field to the column it comes from and its value. A new row, and one that
    changes, is checked field by field by the model's own rules; what breaks one is refused at its
    column. Rules over several rows are the caller's; `alone=False` leaves the model's `clean` out,
    where that looks at other rows.
    """
    target = row if row is not None else make()
    changed = []
    for name, (key, value) in given.items():
        if row is None or differs(getattr(row, name), value):
            setattr(target, name, value)
            changed.append((name, key))
    record.target = target
    if row is None:
        record.outcome = State.NEW
    else:
        record.outcome = State.CHANGED if changed else State.UNCHANGED
        record.changes = [key for _, key in changed]
    if row is None or changed:
        check_fields(record, target, {name: key for name, (key, _) in given.items()}, alone=alone)
    return target


def differs(kept: Any, value: Any) -> bool:
    """Whether a value changes what is kept. How a browser ends its lines is no difference."""
    if isinstance(kept, str) and isinstance(value, str):
        return "\n".join(kept.split("\r\n")).strip() != value
    return bool(kept != value)


def check_fields(
    record: Record, target: Model, keys: Mapping[str, str], *, alone: bool = True
) -> None:
    """Hold a row against its model's rules, field by field and, if `alone`, as a whole."""
    exclude = [f.name for f in target._meta.fields if f.is_relation or f.primary_key]
    errors: dict[str, list[ValidationError]] = {}
    checks = [lambda: target.clean_fields(exclude=exclude), target.clean]
    for check in checks[: 1 + alone]:
        try:
            check()
        except ValidationError as error:
            whole = error.error_dict if hasattr(error, "error_dict") else {"": error.error_list}
            for name, found in whole.items():
                errors.setdefault(name, []).extend(found)
    for name, found in errors.items():
        key = keys.get(name, next(iter(record.headings), ""))
        for fault in found:
            record.refuse(key, fault.code or "not-valid", " ".join(fault.messages))


class turns:
    """Counts how often a key has come: 0 the first time, 1 the second.

    By this the second of two rows alike is known as the second, and not taken for the first.
    """

    def __init__(self) -> None:
        self._seen: dict[Any, int] = {}

    def __call__(self, key: Any) -> tuple[Any, int]:
        turn = self.count(key)
        self._seen[key] = turn + 1
        return key, turn

    def count(self, key: Any) -> int:
        """How often it has come so far."""
        return self._seen.get(key, 0)


def by_turn(rows: Iterable[M], key: Callable[[M], Any]) -> dict[tuple[Any, int], M]:
    """Rows by key and turn; see `turns`."""
    turn = turns()
    return {turn(key(row)): row for row in rows}
