"""Reader and writer of problems with limited hands in our own JSON.

A problem is a network as in `tasks.network.files` with more keys:

`capacities`
    An object: for each thing its count, or an object of `base` and `bookings`, a list of objects
    with `extra` and hours as below. `{"hands": 1}` if left out.
`hours`
    An object of hours by name, for tasks to keep to.
`in_order`
    A list of ids of tasks that must start in this order.
of a task
    `needs`, an object of counts (`{"hands": 1}` if left out), `hours`, a name, and `pin`, a time in
    ISO 8601 with an offset.

Hours are an object of one or more of `week` and `days_off` (as in a calendar), `season` (a pair
such as `["04-15", "10-15"]`), `from` with `to` (times in ISO 8601 with an offset), all in the
calendar's zone, and `in_shop_hours` (true or false). What is given must all hold.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, tzinfo
from typing import Any

from tasks.network.calendar import Calendar
from tasks.network.exceptions import BadFile
from tasks.network.files import as_clock, as_moment, read_network
from tasks.network.hands.hours import Booking, Both, Capacity, Hours, Season, Span
from tasks.network.hands.values import HandsPlan, HandsProblem, Need
from tasks.network.values import TaskId

__all__ = ["read_problem", "write_plan"]

_OF_TASK = ("needs", "hours", "pin")
_OF_HOURS = ("week", "days_off", "season", "from", "to", "in_shop_hours")


def read_problem(content: object) -> HandsProblem:
    """A problem from parsed JSON, in the form that this module describes.

    Raises
    ------
    BadFile
        If the content has another form.
    BadInput
        If a value in it breaks a rule.

    Examples
    --------
    >>> problem = read_problem(
    ...     {"tasks": [{"id": "turn", "minutes": 90, "needs": {"hands": 6}}],
    ...      "capacities": {"hands": 6}}
    ... )
    >>> problem.need_of("turn").amounts
    {'hands': 6}
    """
    whole = dict(_object(content, "the file"))
    given = {key: whole.pop(key) for key in ("capacities", "hours", "in_order") if key in whole}
    rows = whole.get("tasks")
    extras: list[dict[str, Any]] = []
    if isinstance(rows, list) and all(isinstance(row, dict) for row in rows):
        extras = [{key: row[key] for key in _OF_TASK if key in row} for row in rows]
        whole["tasks"] = [
            {key: value for key, value in row.items() if key not in _OF_TASK} for row in rows
        ]
    network = read_network(whole)
    reader = _Reader(network.calendar, whole.get("calendar"))
    needs: dict[TaskId, Need] = {
        task.id: reader.need(extra, f"task {task.id}")
        for task, extra in zip(network.tasks, extras, strict=True)
        if extra
    }
    in_order = given.get("in_order", [])
    if not isinstance(in_order, list) or not all(type(each) in (int, str) for each in in_order):
        raise BadFile("in_order must be a list of ids")
    return HandsProblem(
        network.tasks,
        network.links,
        network.calendar,
        network.now,
        needs,
        {
            name: reader.capacity(value, f"capacities: {name}")
            for name, value in _object(given.get("capacities", {"hands": 1}), "capacities").items()
        },
        {
            name: reader.hours(value, f"hours: {name}")
            for name, value in _object(given.get("hours", {}), "hours").items()
        },
        in_order,
    )


def write_plan(plan: HandsPlan, zone: tzinfo) -> dict[str, Any]:
    """A plan as JSON values, instants in ISO 8601 with the zone's offset."""

    def moment(clock: int) -> str:
        return as_moment(clock, zone).isoformat()

    return {
        "now": moment(plan.now),
        "launch": moment(plan.launch),
        "bound": moment(plan.bound),
        "proven": plan.proven,
        "schedules": plan.schedules,
        "order": list(plan.order),
        "tasks": [
            {
                "id": task,
                "start": moment(place.start),
                "resume": moment(place.resume),
                "finish": moment(place.finish),
                "cured": moment(place.cured),
            }
            for task, place in plan.places.items()
        ],
        "problems": [
            {"task": problem.task, "rule": problem.rule, "text": problem.text}
            for problem in plan.problems
        ],
    }


class _Reader:
    """Reads what needs the shop's calendar and its zone."""

    def __init__(self, calendar: Calendar, given: object) -> None:
        self.calendar = calendar
        self.zone = given["zone"] if isinstance(given, dict) else "UTC"

    def need(self, extra: Mapping[str, Any], owner: str) -> Need:
        amounts = _object(extra.get("needs", {"hands": 1}), f"{owner}: needs")
        hours = extra.get("hours")
        if hours is not None and not isinstance(hours, str):
            raise BadFile(f"{owner}: hours must be a name, not {hours!r}")
        pin = extra.get("pin")
        return Need(amounts, hours, None if pin is None else _clock(pin, f"{owner}: pin"))

    def capacity(self, value: object, owner: str) -> Capacity:
        if isinstance(value, int) and not isinstance(value, bool):
            return Capacity(value)
        given = _object(value, owner, ("base", "bookings"))
        bookings = given.get("bookings", [])
        if not isinstance(bookings, list):
            raise BadFile(f"{owner}: bookings must be a list")
        made = []
        for position, row in enumerate(bookings, start=1):
            where = f"{owner}: booking {position}"
            booking = dict(_object(row, where, (*_OF_HOURS, "extra")))
            if "extra" not in booking:
                raise BadFile(f"{where} has no extra")
            made.append(Booking(booking.pop("extra"), self.hours(booking, where)))
        return Capacity(given.get("base", 0), tuple(made))

    def hours(self, value: object, owner: str) -> Hours:
        given = _object(value, owner, _OF_HOURS)
        parts: list[Hours] = []
        if "week" in given or "days_off" in given:
            calendar = {"zone": self.zone, "week": given.get("week")}
            calendar["days_off"] = given.get("days_off", [])
            now = as_moment(0).isoformat()
            parts.append(read_network({"now": now, "calendar": calendar, "tasks": []}).calendar)
        if "season" in given:
            parts.append(self._season(given["season"], owner))
        if "from" in given or "to" in given:
            if not ("from" in given and "to" in given):
                raise BadFile(f"{owner} needs both from and to")
            parts.append(Span(_clock(given["from"], owner), _clock(given["to"], owner)))
        if given.get("in_shop_hours", False) is True:
            parts.append(self.calendar)
        if not parts:
            raise BadFile(f"{owner} says no time")
        whole = parts[0]
        for part in parts[1:]:
            whole = Both(whole, part)
        return whole

    def _season(self, value: object, owner: str) -> Season:
        try:
            first, last = (datetime.fromisoformat(f"2000-{day}") for day in value)  # type: ignore[attr-defined]
        except (TypeError, ValueError):
            raise BadFile(
                f'{owner}: a season must be a pair such as ["04-15", "10-15"], not {value!r}'
            ) from None
        return Season((first.month, first.day), (last.month, last.day), self.zone)


def _object(value: object, owner: str, known: tuple[str, ...] | None = None) -> Mapping[str, Any]:
    if not isinstance(value, dict):
        raise BadFile(f"{owner} must be an object")
    for key in value:
        if known is not None and key not in known:
            raise BadFile(f"{owner} has an unknown key, {key!r}; known: {', '.join(sorted(known))}")
    return value


def _clock(value: object, owner: str) -> int:
    try:
        moment = datetime.fromisoformat(value)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        raise BadFile(f"{owner}: must be a time in ISO 8601, not {value!r}") from None
    if moment.tzinfo is None:
        raise BadFile(f"{owner}: needs an offset from UTC: {value!r}")
    return as_clock(moment)
