"""Reader and writer of networks in our own JSON.

A network is one object:

`now`
    Status time, ISO 8601 with an offset. May be left out with the calendar `"always"`, and is then
    1970-01-01T00:00Z.
`calendar`
    `"always"`, or an object of `zone` (an IANA name), `week` (for each of `monday` to `sunday` a
    list of `["18:00", "21:30"]` pairs, the end at most `"24:00"`) and `days_off` (ISO dates).
`tasks`
    A list of objects: `id`, `minutes`, and optionally `cure`, `unbroken`, `started`, `finished`,
    `left`, `not_before`, with the meanings of `Task`; instants in ISO 8601 with an offset.
`links`
    A list of objects: `before`, `after`, and optionally `kind` (`finish-start`, `start-start`,
    `finish-finish`, `start-finish`), `lag`, `lag_in` (`shop`, `elapsed`), `waits_for_cure`, with
    the meanings of `Link`.

Any other key is refused, so that a misspelt one is not overlooked.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from enum import Enum
from typing import Any, TypeVar

from tasks.network.calendar import Calendar
from tasks.network.exceptions import BadFile
from tasks.network.values import LagIn, Link, LinkKind, Schedule, Task, TaskDates

__all__ = ["NetworkFile", "as_clock", "as_moment", "read_network", "write_schedule"]

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)

Choice = TypeVar("Choice", bound=Enum)


@dataclass(frozen=True, slots=True)
class NetworkFile:
    """What a file holds: the arguments of `schedule`."""

    tasks: list[Task]
    links: list[Link]
    calendar: Calendar
    now: int


def as_clock(moment: datetime) -> int:
    """Clock minute of an aware datetime, seconds dropped.

    >>> as_clock(datetime(1970, 1, 2, 0, 1, 59, tzinfo=UTC))
    1441
    """
    return (moment - _EPOCH) // timedelta(minutes=1)


def as_moment(clock: int, zone: tzinfo = UTC) -> datetime:
    """Aware datetime of a clock minute, in a zone.

    >>> as_moment(1441).isoformat()
    '1970-01-02T00:01:00+00:00'
    """
    return (_EPOCH + timedelta(minutes=clock)).astimezone(zone)


def read_network(content: object) -> NetworkFile:
    """A network from parsed JSON, in the form that this module describes.

    Raises
    ------
    BadFile
        If the content has another form.
    BadInput
        If a value in it breaks a rule.

    Examples
    --------
    >>> read_network({"tasks": [{"id": "cut", "minutes": 90}], "links": []}).tasks[0].minutes
    90
    """
    whole = _object(content, "the file", {"now", "calendar", "tasks", "links"})
    if "tasks" not in whole:
        raise BadFile("the file has no tasks")
    calendar_given = whole.get("calendar", "always")
    if "now" in whole:
        now = _clock(whole["now"], "now")
    elif calendar_given == "always":
        now = 0
    else:
        raise BadFile("now is missing: shop hours need a status time")
    return NetworkFile(
        tasks=[_task(row, n) for n, row in enumerate(_list(whole["tasks"], "tasks"), start=1)],
        links=[_link(row, n) for n, row in enumerate(_list(whole.get("links", []), "links"), 1)],
        calendar=_calendar(calendar_given, now),
        now=now,
    )


def write_schedule(plan: Schedule, zone: tzinfo = UTC) -> dict[str, Any]:
    """A schedule as JSON values: instants in ISO 8601 with the zone's offset, floats in minutes."""
    return {
        "now": as_moment(plan.now, zone).isoformat(),
        "launch": as_moment(plan.launch, zone).isoformat(),
        "critical_path": list(plan.critical_path),
        "tasks": [{"id": id, **_dates(dates, zone)} for id, dates in plan.dates.items()],
        "problems": [
            {"task": problem.task, "rule": problem.rule, "text": problem.text}
            for problem in plan.problems
        ],
    }


def _dates(dates: TaskDates, zone: tzinfo) -> dict[str, Any]:
    moments = ("early_start", "early_finish", "cured", "late_start", "late_finish")
    shown: dict[str, Any] = {
        name: as_moment(getattr(dates, name), zone).isoformat() for name in moments
    }
    link = dates.driving
    return shown | {
        "total_float": dates.total_float,
        "free_float": dates.free_float,
        "driving": None if link is None else {"before": link.before, "kind": link.kind.value},
        "critical": dates.critical,
        "in_pieces": dates.in_pieces,
    }


def _object(value: object, owner: str, known: Collection[str]) -> Mapping[str, Any]:
    if not isinstance(value, dict):
        raise BadFile(f"{owner} must be an object")
    for key in value:
        if key not in known:
            raise BadFile(f"{owner} has an unknown key, {key!r}; known: {', '.join(sorted(known))}")
    return value


def _list(value: object, owner: str) -> list[Any]:
    if not isinstance(value, list):
        raise BadFile(f"{owner} must be a list")
    return value


def _clock(value: object, owner: str) -> int:
    try:
        moment = datetime.fromisoformat(value)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        raise BadFile(f"{owner} must be a time in ISO 8601, not {value!r}") from None
    if moment.tzinfo is None:
        raise BadFile(f"{owner} needs an offset from UTC: {value!r}")
    return as_clock(moment)


def _truth(value: object, owner: str) -> bool:
    if not isinstance(value, bool):
        raise BadFile(f"{owner} must be true or false, not {value!r}")
    return value


def _choice(kind: type[Choice], value: object, owner: str) -> Choice:
    try:
        return kind(value)
    except ValueError:
        words = ", ".join(choice.value for choice in kind)
        raise BadFile(f"{owner} must be one of {words}, not {value!r}") from None


def _task(row: object, position: int) -> Task:
    instants = ("started", "finished", "not_before")
    known = ("id", "minutes", "cure", "unbroken", "left", *instants)
    values = dict(_object(row, f"task number {position}", known))
    for key in ("id", "minutes"):
        if key not in values:
            raise BadFile(f"task number {position} has no {key}")
    owner = f"task {values['id']}"
    if "unbroken" in values:
        _truth(values["unbroken"], f"{owner}: unbroken")
    for key in instants:
        if values.get(key) is not None:
            values[key] = _clock(values[key], f"{owner}: {key}")
    return Task(**values)


def _link(row: object, position: int) -> Link:
    known = ("before", "after", "kind", "lag", "lag_in", "waits_for_cure")
    values = dict(_object(row, f"link number {position}", known))
    for key in ("before", "after"):
        if type(values.get(key)) not in (int, str):
            raise BadFile(f"link number {position}: {key} must name a task")
    owner = f"link {values['before']} -> {values['after']}"
    if "kind" in values:
        values["kind"] = _choice(LinkKind, values["kind"], f"{owner}: kind")
    if "lag_in" in values:
        values["lag_in"] = _choice(LagIn, values["lag_in"], f"{owner}: lag_in")
    if "waits_for_cure" in values:
        _truth(values["waits_for_cure"], f"{owner}: waits_for_cure")
    return Link(**values)


def _calendar(value: object, now: int) -> Calendar:
    if value == "always":
        return Calendar.always()
    given = _object(value, "calendar", {"zone", "week", "days_off"})
    if not isinstance(given.get("zone"), str):
        raise BadFile("calendar: zone must be an IANA time zone name")
    week = _object(given.get("week"), "calendar: week", WEEKDAYS)
    hours = {
        WEEKDAYS.index(day): [_stretch(pair, day) for pair in _list(pairs, f"week: {day}")]
        for day, pairs in week.items()
    }
    days_off = [_day(day) for day in _list(given.get("days_off", []), "calendar: days_off")]
    return Calendar.from_week(hours, given["zone"], days_off, as_moment(now).date())


def _stretch(pair: object, day: str) -> tuple[int, int]:
    if not isinstance(pair, list) or len(pair) != 2:
        raise BadFile(f'week: {day}: a stretch must be a pair such as ["18:00", "21:30"]')
    return _minute(pair[0], day), _minute(pair[1], day)


def _minute(value: object, day: str) -> int:
    hours, _, minutes = value.partition(":") if isinstance(value, str) else ("", "", "")
    if not (hours.isdecimal() and minutes.isdecimal() and len(minutes) == 2 and int(minutes) < 60):
        raise BadFile(f'week: {day}: a time must be written as "18:00", not {value!r}')
    return int(hours) * 60 + int(minutes)


def _day(value: object) -> date:
    try:
        return date.fromisoformat(value)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        raise BadFile(f"calendar: days_off: no such date: {value!r}") from None
