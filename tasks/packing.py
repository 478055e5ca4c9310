"""A launch's record as bytes in a row, and back: JSON, packed.

A format is read for ever: what it lacks is given its usual value, what it has keeps its meaning.
"""

from __future__ import annotations

import datetime as dt
import json
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any
from zoneinfo import ZoneInfo

from tasks.network import LagIn, Link, LinkKind
from tasks.network.causes import Facts, Record, TaskFacts
from tasks.network.inputs import Help, Limit

__all__ = ["Kept", "pack", "unpack"]

FORMAT = 1


@dataclass(frozen=True)
class Kept:
    """A record with what its rows were called on that day, and each task's float then.

    `floats` holds shop minutes of unfinished tasks.
    """

    record: Record
    tasks: Mapping[int, str] = field(default_factory=dict)
    things: Mapping[int, str] = field(default_factory=dict)
    limits: Mapping[int, str] = field(default_factory=dict)
    floats: Mapping[int, int] = field(default_factory=dict)


def pack(kept: Kept) -> bytes:
    record, facts = kept.record, kept.record.facts
    values = {
        "format": FORMAT,
        "now": facts.now,
        "zone": facts.zone.key,
        "first_day": facts.first_day.isoformat(),
        "launch": record.launch,
        "hands": facts.hands,
        "week": facts.week,
        "days_off": [[a.isoformat(), b.isoformat(), why] for a, b, why in facts.days_off],
        "help": [_help(one) for one in facts.help],
        "things": facts.things,
        "limits": {
            pk: [one.start, one.end, one.first, one.last, one.lifted_by]
            for pk, one in facts.limits.items()
        },
        "links": [
            [one.before, one.after, one.kind.value, one.lag, one.lag_in.value, one.waits_for_cure]
            for one in facts.links
        ],
        "heated": [[first.isoformat(), last.isoformat()] for first, last in facts.heated],
        "tasks": {
            pk: [*_row(task), record.starts.get(pk), kept.floats.get(pk), kept.tasks.get(pk, "")]
            for pk, task in facts.tasks.items()
        },
        "thing_names": kept.things,
        "limit_names": kept.limits,
    }
    return zlib.compress(json.dumps(values, separators=(",", ":")).encode(), 9)


def unpack(packed: bytes | memoryview[int]) -> Kept:
    values = json.loads(zlib.decompress(bytes(packed)))
    tasks, starts, floats, names = {}, {}, {}, {}
    for key, row in values["tasks"].items():
        pk = int(key)
        *facts, start, total_float, name = row
        tasks[pk] = _task(facts)
        names[pk] = name
        if start is not None:
            starts[pk] = start
        if total_float is not None:
            floats[pk] = total_float
    facts = Facts(
        now=values["now"],
        zone=ZoneInfo(values["zone"]),
        first_day=_day(values["first_day"]),
        tasks=tasks,
        links=tuple(
            Link(before, after, LinkKind(kind), lag, LagIn(lag_in), cure)
            for before, after, kind, lag, lag_in, cure in values["links"]
        ),
        week={
            int(day): [(start, end) for start, end in rows] for day, rows in values["week"].items()
        },
        days_off=tuple((_day(a), _day(b), why) for a, b, why in values["days_off"]),
        hands=values["hands"],
        help=tuple(
            Help(hands, weekday, first and _day(first), last and _day(last), start, end)
            for hands, weekday, first, last, start, end in values["help"]
        ),
        things=_by_number(values["things"]),
        limits={
            int(pk): Limit(start, end, _pair(first), _pair(last), lifted_by)
            for pk, (start, end, first, last, lifted_by) in values["limits"].items()
        },
        heated=tuple((_day(first), _day(last)) for first, last in values["heated"]),
    )
    return Kept(
        Record(facts, values["launch"], starts),
        names,
        _by_number(values["thing_names"]),
        _by_number(values["limit_names"]),
        floats,
    )


def _row(task: TaskFacts) -> list[Any]:
    return [
        task.likely, task.left, task.logged, task.hands, task.cure, int(task.unbroken),
        task.started, task.finished, task.not_before, task.limit, task.pin, task.turn,
        task.things or 0, 0 if task.doing == "own" else task.doing,
    ]  # fmt: skip


def _task(row: list[Any]) -> TaskFacts:
    likely, left, logged, hands, cure, unbroken, started, finished, not_before, *rest = row
    limit, pin, turn, things, doing = rest
    return TaskFacts(
        likely, left, logged, hands, cure, bool(unbroken), started, finished, not_before,
        _by_number(things or {}), limit, pin, turn, doing or "own",
    )  # fmt: skip


def _help(one: Help) -> list[Any]:
    first, last = (day.isoformat() if day else None for day in (one.first, one.last))
    return [one.hands, one.weekday, first, last, one.start, one.end]


def _day(text: str) -> dt.date:
    return dt.date.fromisoformat(text)


def _pair(value: list[int] | None) -> tuple[int, int] | None:
    return (value[0], value[1]) if value else None


def _by_number(values: Mapping[str, Any]) -> dict[int, Any]:
    return {int(key): value for key, value in values.items()}
