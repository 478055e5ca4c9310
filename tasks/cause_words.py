"""Why the launch moved, in words: “away 2–9 May”, “F3 took 14 h more than guessed”."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from tasks.hours import show_hours
from tasks.network.causes import What
from tasks.templatetags.shoptime import MONTHS
from tasks.words import WEEKDAYS, number, of

__all__ = ["Cause", "causes_of", "change_words", "days_words", "span_words"]

#: Changes of one cause told one by one; of more, the number is told.
MOST_TOLD = 3
#: A task with other hours than guessed gets a line of its own from this on.
A_DAY = 1

Plain = Mapping[str, Any]


@dataclass(frozen=True)
class Cause:
    """One line: by how many days of the calendar the launch moved, and why.

    `tasks` pairs number and name of those concerned, so that a page can lead to them.
    """

    days: int
    minutes: int
    words: str
    groups: tuple[str, ...]
    tasks: list[tuple[int, str]] = field(default_factory=list)


def causes_of(parts: Iterable[Plain]) -> list[Cause]:
    """The causes of a week as lines, the largest first; those that moved nothing at the end.

    Tasks that each moved the launch by less than a day share a line, so the days of the lines add
    up to those of the parts.
    """
    causes, small = [], []
    for part in parts:
        if part["groups"] == ["hours"] and abs(part["days"]) < A_DAY:
            small.append(part)
        else:
            causes.append(_cause(part["groups"], [part]))
    if small:
        causes.append(_cause(["hours"], small))
    return sorted(causes, key=lambda one: (not one.days, -abs(one.days), -abs(one.minutes)))


def _cause(groups: Iterable[str], parts: list[Plain]) -> Cause:
    changes = [change for part in parts for change in part["changes"]]
    named = {
        pk: name
        for change in changes
        for pk, name in zip(change.get("tasks", ()), change.get("names", ()), strict=True)
    }
    return Cause(
        days=sum(part["days"] for part in parts),
        minutes=sum(part["minutes"] for part in parts),
        words=changes_words(changes),
        groups=tuple(groups),
        tasks=list(named.items()),
    )


def changes_words(changes: list[Plain]) -> str:
    """A sentence without its full stop; of many changes of one sort only how many."""
    kinds: dict[str, list[Plain]] = {}
    for change in changes:
        kinds.setdefault(change["what"], []).append(change)
    told = []
    for what, rows in kinds.items():
        if len(rows) <= MOST_TOLD:
            told += [change_words(row) for row in rows]
        elif what == What.HOURS.value:
            more = sum(row.get("now", 0) - row.get("was", 0) for row in rows)
            told.append(f"{number(len(rows))} tasks, {_more(more)} than guessed in all")
        else:
            told.append(f"{change_words(rows[0])}, and {number(len(rows) - 1)} more like it")
    return "; ".join(told)


def change_words(change: Plain) -> str:
    """One change. What it cannot tell it leaves out: it must read whatever was once recorded."""
    teller = _TELLERS.get(change["what"])
    return teller(change) if teller else "another change"


def days_words(days: int) -> str:
    """“+9 days”, “−1 day”, “no day”."""
    if not days:
        return "no day"
    return f"{'+' if days > 0 else '−'}{abs(days)} day{'' if abs(days) == 1 else 's'}"


def span_words(first: dt.date, last: dt.date) -> str:
    """“2–9 May”, “28 Apr–3 May”, “4 May”; with the year where it is another at the end.

    >>> span_words(dt.date(2026, 5, 2), dt.date(2026, 5, 9))
    '2–9 May'
    """
    end = f"{last.day} {MONTHS[last.month - 1]}"
    if first == last:
        return end
    if (first.year, first.month) == (last.year, last.month):
        return f"{first.day}–{end}"
    start = f"{first.day} {MONTHS[first.month - 1]}"
    if first.year != last.year:
        return f"{start} {first.year}–{end} {last.year}"
    return f"{start}–{end}"


def _name(change: Plain, place: int = 0) -> str:
    names = change.get("names", ())
    return names[place] if place < len(names) and names[place] else "a task"


def _span(change: Plain) -> str:
    days = [dt.date.fromisoformat(change[end]) for end in ("first", "last") if change.get(end)]
    if not days:
        return ""
    words, year = span_words(days[0], days[-1]), str(days[-1].year)
    told = words.endswith(year) or change.get("year", days[-1].year) == days[-1].year
    return words if told else f"{words} {year}"


def _long(day: str) -> str:
    date = dt.date.fromisoformat(day)
    return f"{date.day} {MONTHS[date.month - 1]} {date.year}"


def _more(minutes: int) -> str:
    return f"{show_hours(abs(minutes))} {'more' if minutes >= 0 else 'less'}"


def _day_off(change: Plain) -> str:
    reason = change.get("reason") or "days off"
    return f"{reason} {_span(change)}"


def _day_off_removed(change: Plain) -> str:
    reason = change.get("reason") or "off"
    return f"no longer {reason} {_span(change)}"


def _hands(change: Plain) -> str:
    return f"{of(change.get('now', 0), 'pair')} of hands always there, not {change.get('was', 0)}"


def _help(change: Plain) -> str:
    count = change.get("now", 1)
    who = "a helper" if count == 1 else f"{number(count)} helpers"
    if change.get("row") is not None:
        ends = [
            f" {word} {_long(change[end])}"
            for word, end in (("from", "first"), ("until", "last"))
            if change.get(end)
        ]
        return f"{who} every {WEEKDAYS[change['row']]}{''.join(ends)}"
    return f"{who} {_span(change)}".rstrip()


def _thing(change: Plain) -> str:
    name = change.get("name", "something held")
    if change.get("now") is None:
        return f"no {name} any more"
    was = change.get("was")
    return f"{change['now']} {name}" + ("" if was is None else f", not {was}")


def _task_hands(change: Plain) -> str:
    return f"{_name(change)} takes {change.get('now', 1)} hands, not {change.get('was', 1)}"


def _worked(change: Plain) -> str:
    planned, worked = change.get("was", 0), change.get("now", 0)
    if not planned and not worked:
        return "time passed with no work in it"
    if not worked:
        return f"no hours worked, where the plan had {show_hours(planned)}"
    return f"{show_hours(worked)} worked, where the plan had {show_hours(planned)}"


def _hours(change: Plain) -> str:
    more = change.get("now", 0) - change.get("was", 0)
    took = "took" if change.get("finished") else "takes"
    return f"{_name(change)} {took} {_more(more)} than guessed"


def _added(change: Plain) -> str:
    return f"added {_name(change)}, {show_hours(change.get('now', 0))}"


def _removed(change: Plain) -> str:
    return f"took off {_name(change)}, {show_hours(change.get('was', 0))}"


def _doing(change: Plain) -> str:
    word = change.get("reason", "")
    done = {"own": "is done at home after all", "left-out": "is left out"}
    return f"{_name(change)} {done.get(word, 'is bought in')}"


def _set_day(words: str) -> Callable[[Plain], str]:
    def tell(change: Plain) -> str:
        if change.get("now") is None:
            return f"{_name(change)} is no longer {words}"
        return f"{_name(change)} is {words}"

    return tell


def _limit(change: Plain) -> str:
    did = "changed"
    if not change.get("was", 1):
        did = "added"
    elif not change.get("now", 1):
        did = "took off"
    return f"{did} the limit “{change.get('name', 'of some work')}”"


def _cure(change: Plain) -> str:
    was, now = change.get("was", 0), change.get("now", 0)
    return f"{_name(change)} cures {show_hours(now)}, not {show_hours(was)}"


def _unbroken(change: Plain) -> str:
    how = "must be done" if change.get("now") else "need no longer be done"
    return f"{_name(change)} {how} in one go"


_TELLERS: dict[str, Callable[[Plain], str]] = {
    "week": lambda _: "other shop hours",
    "zone": lambda _: "another time zone",
    "day-off-added": _day_off,
    "day-off-removed": _day_off_removed,
    "hands": _hands,
    "help-added": _help,
    "help-removed": lambda change: f"no longer {_help(change)}",
    "thing": _thing,
    "task-hands": _task_hands,
    "task-things": lambda change: f"{_name(change)} holds other things",
    "worked": _worked,
    "hours": _hours,
    "task-added": _added,
    "task-removed": _removed,
    "doing": _doing,
    "link-added": lambda change: f"{_name(change, 1)} now waits for {_name(change)}",
    "link-removed": lambda change: f"{_name(change, 1)} no longer waits for {_name(change)}",
    "link-changed": lambda change: f"{_name(change, 1)} waits otherwise for {_name(change)}",
    "limit": _limit,
    "keeps-to": lambda change: f"{_name(change)} keeps to “{change.get('name') or 'no limit'}”",
    "heated": lambda _: "other days on which the shed is heated",
    "pin": _set_day("pinned to its time"),
    "turn": _set_day("in the fixed order"),
    "not-before": _set_day("held until a set day"),
    "unbroken": _unbroken,
    "cure": _cure,
    "order": lambda _: "another order of the same work",
}
