"""What the page on a list shows: which rows, and their values in the build's own words."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from buildlog.lists.cells import Lag, Some
from buildlog.lists.kinds import Bringing
from buildlog.lists.records import Record, State
from buildlog.units import (
    Amount,
    Count,
    Layers,
    show_length,
    without_idle_noughts,
)
from tasks.hours import show_hours
from tasks.models import Build

__all__ = ["ShownRow", "shown_rows"]

MOST_SHOWN = 25
MOST_COLUMNS_SHOWN = 9


@dataclass(frozen=True, slots=True)
class ShownCell:
    text: str
    changed: bool = False
    wrong: bool = False


@dataclass(frozen=True, slots=True)
class ShownRow:
    number: int
    state: State
    cells: list[ShownCell]


def shown_columns(bringing: Bringing) -> list[tuple[str, str]]:
    """Key and heading of the columns that the preview has room for."""
    pairs = [(m.column.key, m.heading) for m in bringing.found.matches]
    return pairs[:MOST_COLUMNS_SHOWN]


def shown_rows(bringing: Bringing) -> list[ShownRow]:
    """The first rows as they are understood, those with something to say before the others."""
    order = {State.ASKED: 0, State.CHANGED: 1, State.NEW: 1, State.REFUSED: 2, State.UNCHANGED: 3}
    records = sorted(bringing.records, key=lambda r: (order[r.state], r.number))
    first = sorted(records[:MOST_SHOWN], key=lambda record: record.number)
    columns = [(m.column.key, m.column.reader.kind) for m in bringing.found.matches]
    room = columns[:MOST_COLUMNS_SHOWN]

    def cells(record: Record) -> list[ShownCell]:
        return [_cell(record, key, kind, bringing.build) for key, kind in room]

    return [ShownRow(record.number, record.state, cells(record)) for record in first]


def _cell(record: Record, key: str, kind: str, build: Build) -> ShownCell:
    wrong = any(fault.column == record.headings[key] for fault in record.faults)
    if not record.has(key):
        return ShownCell(record.cells[key], wrong=wrong)
    text = _text(record.values[key], kind, build)
    return ShownCell(text[:80], changed=key in record.changes and record.state == State.CHANGED,
                     wrong=wrong)  # fmt: skip


def _text(value: Any, kind: str, build: Build) -> str:
    if value is None or value == "":
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Layers):
        each = _length(value.each, build)
        return f"{value.count} × {each}" if value.count > 1 else each
    if isinstance(value, Lag):
        says = {"elapsed": " by the clock", "shop": " in shop hours"}.get(value.passes_in, "")
        return f"{show_hours(value.minutes)}{says}" if value.minutes else "none"
    if isinstance(value, Count):
        return f"{value.number}, mirrored" if value.mirrored else str(value.number)
    if isinstance(value, Amount):
        coins = max(2, -int(value.value.as_tuple().exponent))
        return f"{value.value:.{coins}f} {value.currency or ''}".strip()
    if isinstance(value, Some):
        return f"{_number(value.value)} {value.unit}".strip()
    if isinstance(value, Decimal):
        return _length(value, build) if kind == "length" else _number(value)
    if isinstance(value, int) and kind == "hours":
        return show_hours(value)
    if isinstance(value, dt.datetime):
        return f"{value:%a} {value.day} {value:%b %Y %H:%M}"
    if isinstance(value, dt.date):
        return f"{value:%a} {value.day} {value:%b %Y}"
    return str(value)


def _length(mm: Decimal, build: Build) -> str:
    return show_length(mm, build.length_system, build.denominator).set_text  # type: ignore[arg-type]


def _number(value: Decimal) -> str:
    return f"{without_idle_noughts(value):f}"
