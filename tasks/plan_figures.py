"""From rows to the network and back: the dates and the state of every task, as plain figures.

What comes out holds no model and no open query, so it can be kept and thrown away.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from operator import itemgetter
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from tasks import network
from tasks.hours import show_hours
from tasks.models import Doing
from tasks.network.inputs import bought_in, left_out, week_calendar, without_waits_after
from tasks.plan_rows import LINK_FIELDS, TASK_FIELDS, WORK_FIELDS, Row, Rows
from tasks.plan_waits import unsatisfied

__all__ = [
    "Figures",
    "Reckoned",
    "State",
    "calendar_of",
    "minute_of",
    "reckon",
    "values_of",
    "week_calendar",
]

_T = {name: place for place, name in enumerate(TASK_FIELDS)}
_of_link = itemgetter(
    *(
        LINK_FIELDS.index(name)
        for name in ("before_id", "after_id", "kind", "lag_minutes", "lag_in", "waits_for_cure")
    )
)
_ID, _HANDS, _LIKELY = _T["id"], _T["hands"], _T["likely_minutes"]
_CURE, _UNBROKEN, _NOT_BEFORE = _T["cure_minutes"], _T["unbroken"], _T["not_before"]
_STARTED, _FINISHED = _T["started_at"], _T["finished_at"]
_LEFT, _SAID = _T["left_minutes"], _T["left_said_at"]
_DOING, _BOUGHT_IN_DAYS = _T["doing"], _T["bought_in_days"]
_WORK_TASK, _WORK_STARTED = WORK_FIELDS.index("task_id"), WORK_FIELDS.index("started_at")
_BOUGHT = frozenset({Doing.BOUGHT_IN, Doing.BOUGHT_ALL})
_KIND_OF = {kind.value: kind for kind in network.LinkKind}
_LAG_OF = {lag.value: lag for lag in network.LagIn}

#: Stands in until the builder has said when they work; `problems` says so.
USUAL_DAYS = {weekday: [(9 * 60, 17 * 60)] for weekday in range(7)}
NO_HOURS = (
    "No shop hours are set, so there is no launch date. The dates of the tasks are reckoned as if "
    "you worked from 9 to 17 every day. Say when you work, and they come true."
)
NO_ROOM = (
    "The shop hours and days off leave no room for the work, so there is no launch date. The dates "
    "of the tasks are reckoned as if you worked from 9 to 17 every day."
)
TOO_MUCH = (
    "The work would take centuries, so there is no launch date and the tasks have no dates. Look "
    "for hours, waits or days that were mistyped."
)


class State(StrEnum):
    """What a task is, derived from what was logged."""

    WAITING = "waiting"
    READY = "ready"
    IN_HAND = "in hand"
    CURING = "curing"
    DONE = "done"
    LEFT_OUT = "left out"


class Figures(NamedTuple):
    """One task. Instants in clock minutes UTC, floats in shop minutes, work in people-minutes.

    `waits` pairs the place of a link among the rows with the minute until when it holds, None
    where that is not known yet. `frees` are the tasks that wait for this one only.
    """

    state: str
    early_start: int
    early_finish: int
    cured: int
    late_start: int
    late_finish: int
    total_float: int
    free_float: int
    critical: bool
    driving: int | None
    logged: int
    left: int
    held_until: int | None
    waits: tuple[tuple[int, int | None], ...]
    frees: tuple[int, ...]


@dataclass(slots=True)
class Reckoned:
    """Figures by place of the task among the rows; the week and days off that were used."""

    figures: list[tuple]
    launch: int | None
    critical_path: list[Any]
    problems: list[str]
    week: dict[int, list[tuple[int, int]]]
    days_off: list[tuple[dt.date, dt.date, str]]
    first_day: dt.date


def minute_of(moment: dt.datetime) -> int:
    """The clock minute in which a moment lies."""
    return int(moment.timestamp() // 60)


def calendar_of(reckoned: Reckoned, zone: ZoneInfo) -> network.Calendar:
    return week_calendar(reckoned.week, reckoned.days_off, zone, reckoned.first_day)


def values_of(
    rows: Rows, zone: ZoneInfo, now: int
) -> tuple[list[network.Task], list[network.Link]]:
    """The tasks and links of a build as the network takes them, at a clock minute."""
    work = _Work(rows, zone, now)
    return [work.task(row) for row in rows.tasks], work.links()


def reckon(rows: Rows, zone: ZoneInfo, now: int) -> Reckoned:
    """Plan the build from a clock minute on."""
    problems: list[str] = []
    work = _Work(rows, zone, now)
    tasks, links = [work.task(row) for row in rows.tasks], work.links()
    first = min((task.started for task in tasks if task.started is not None), default=now)
    first_day = dt.datetime.fromtimestamp(min(first, now) * 60, zone).date()
    week, days_off = rows.week, rows.days_off
    if not week:
        problems.append(NO_HOURS)
        week, days_off = USUAL_DAYS, []
    calendar = week_calendar(week, days_off, zone, first_day)
    try:
        schedule = _schedule_without_rings(rows, tasks, links, calendar, now, problems)
    except network.NoAnswer:
        problems.append(NO_ROOM)
        week, days_off = USUAL_DAYS, []
        calendar = week_calendar(week, days_off, zone, first_day)
        try:
            schedule = _schedule_without_rings(rows, tasks, links, calendar, now, problems)
        except network.NoAnswer:
            problems.remove(NO_ROOM)
            problems.append(TOO_MUCH)
            tasks, links = [_timeless(task) for task in tasks], [replace(k, lag=0) for k in links]
            schedule = _schedule_without_rings(rows, tasks, links, calendar, now, problems)
    dated = bool(tasks) and not {NO_HOURS, NO_ROOM, TOO_MUCH} & set(problems)
    problems.extend(_in_words(rows, schedule.problems, calendar))
    return Reckoned(
        figures=_figures(rows, tasks, links, schedule, calendar, work, now),
        launch=schedule.launch if dated else None,
        critical_path=list(schedule.critical_path),
        problems=problems,
        week=week,
        days_off=days_off,
        first_day=first_day,
    )


def _timeless(task: network.Task) -> network.Task:
    """A task as a point in time: its place in the order is all that can be told."""
    left = None if task.left is None else 0
    return replace(task, minutes=0, cure=0, left=left, not_before=None)


class _Work:
    """What was logged of each task, and what is left of it."""

    def __init__(self, rows: Rows, zone: ZoneInfo, now: int) -> None:
        self.rows, self.zone, self.now = rows, zone, now
        self.logged: dict[network.TaskId, int] = {task: row[0] for task, row in rows.logged.items()}
        self.since_said = dict(rows.since_said)
        said = {row[_ID]: row[_SAID] for row in rows.tasks if row[_SAID]}
        self.left: dict[network.TaskId, int] = {}
        # What was begun after all is not left out.
        self.left_out = {
            row[_ID]
            for row in rows.tasks
            if row[_DOING] == Doing.LEFT_OUT
            and row[_STARTED] is None
            and row[_FINISHED] is None
            and row[_ID] not in rows.logged
        }
        for row in rows.running:
            task, started = row[_WORK_TASK], row[_WORK_STARTED]
            ran = max(now - minute_of(started), 0)
            self.logged[task] = self.logged.get(task, 0) + ran
            if task in said:
                since = max(now - minute_of(max(started, said[task])), 0)
                self.since_said[task] = self.since_said.get(task, 0) + since

    def task(self, row: Row) -> network.Task:
        pk, hands = row[_ID], row[_HANDS]
        started = minute_of(row[_STARTED]) if row[_STARTED] else self._first_logged(pk)
        finished = minute_of(row[_FINISHED]) if row[_FINISHED] else None
        left = self._left(row)
        self.left[pk] = left
        not_before = row[_NOT_BEFORE]
        task = network.Task(
            id=pk,
            minutes=-(-row[_LIKELY] // hands),
            cure=row[_CURE],
            unbroken=row[_UNBROKEN],
            started=started,
            finished=finished,
            left=-(-left // hands),
            not_before=self.midnight(not_before) if not_before else None,
        )
        if row[_DOING] == Doing.OWN or finished is not None:
            return task
        if row[_DOING] != Doing.LEFT_OUT:
            return bought_in(task, row[_BOUGHT_IN_DAYS], self.now)
        return left_out(task) if pk in self.left_out else task

    def links(self) -> list[network.Link]:
        links = [_link(row) for row in self.rows.links]
        return without_waits_after(links, self.left_out) if self.left_out else links

    def midnight(self, day: dt.date) -> int:
        return minute_of(dt.datetime.combine(day, dt.time(), self.zone))

    def _first_logged(self, pk: int) -> int | None:
        """Hours typed in for a task show that it was started, on the first day of them at most."""
        if pk not in self.rows.logged:
            return None
        _, day, clock = self.rows.logged[pk]
        started = self.midnight(day)
        if clock and clock.astimezone(self.zone).date() <= day:
            started = minute_of(clock)
        return min(started, self.now)

    def _left(self, row: Row) -> int:
        if row[_FINISHED] or row[_DOING] in _BOUGHT or row[_ID] in self.left_out:
            return 0
        if row[_LEFT] is not None:
            return max(row[_LEFT] - round(self.since_said.get(row[_ID], 0)), 0)
        return max(row[_LIKELY] - self.logged.get(row[_ID], 0), 0)


def _link(row: Row) -> network.Link:
    before, after, kind, lag, lag_in, waits_for_cure = _of_link(row)
    return network.Link(before, after, _KIND_OF[kind], lag, _LAG_OF[lag_in], waits_for_cure)


def _schedule_without_rings(
    rows: Rows,
    tasks: list[network.Task],
    links: list[network.Link],
    calendar: network.Calendar,
    now: int,
    problems: list[str],
) -> network.Schedule:
    """The schedule. Should a ring have got past the door, it is named and its last link left out.

    A page that says so is of more use to the builder than one that fails.
    """
    kept = links
    while True:
        try:
            return network.schedule(tasks, kept, calendar, now)
        except network.Cycle as ring:
            before, after = ring.path[-2:]
            kept = [link for link in kept if (link.before, link.after) != (before, after)]
            names = {row[_ID]: f"{row[_T['code']]} {row[_T['name']]}" for row in rows.tasks}
            problems.append(
                "These tasks wait for each other in a ring: "
                + " → ".join(names[task] for task in ring.path)
                + ". The last link is left out of the plan; remove one of them."
            )


def _in_words(
    rows: Rows, problems: Iterable[network.Problem], calendar: network.Calendar
) -> Iterable[str]:
    by_pk = {row[_ID]: row for row in rows.tasks}
    longest = show_hours(calendar.longest_stretch or 0)
    for problem in problems:
        row = by_pk[problem.task]
        needs = show_hours(-(-row[_LIKELY] // row[_HANDS]))
        yield (
            f"{row[_T['code']]} {row[_T['name']]} must be done in one go and takes {needs}, but "
            f"the longest stretch of shop hours is {longest}. Until that changes it is planned "
            "in pieces."
        )


def _figures(
    rows: Rows,
    tasks: list[network.Task],
    links: list[network.Link],
    schedule: network.Schedule,
    calendar: network.Calendar,
    work: _Work,
    now: int,
) -> list[tuple]:
    by_pk = {task.id: task for task in tasks}
    places = {id(link): place for place, link in enumerate(links)}
    waits = unsatisfied(links, by_pk, schedule, calendar, now, work.left_out)
    frees: dict[network.TaskId, list[Any]] = {}
    states: dict[network.TaskId, tuple[State, int | None]] = {}
    for task in tasks:
        held = task.not_before if task.not_before and task.not_before > now else None
        state = _state(task, schedule.dates[task.id].cured, bool(waits.get(task.id)) or held, now)
        if task.id in work.left_out:
            state = State.LEFT_OUT
        states[task.id] = state, held if state == State.WAITING else None
        if state == State.WAITING and not held:
            holders = {links[place].before for place, _ in waits[task.id]}
            if len(holders) == 1:
                frees.setdefault(holders.pop(), []).append(task.id)
    figures = []
    for task in tasks:
        dates = schedule.dates[task.id]
        driving = dates.driving
        state, held = states[task.id]
        figures.append(
            (
                state.value,
                dates.early_start,
                dates.early_finish,
                dates.cured,
                dates.late_start,
                dates.late_finish,
                dates.total_float,
                dates.free_float,
                dates.critical,
                places[id(driving)] if driving else None,
                work.logged.get(task.id, 0),
                work.left[task.id],
                held,
                tuple(waits.get(task.id, ())),
                tuple(frees.get(task.id, ())),
            )
        )
    return figures


def _state(task: network.Task, cured: int, waits: object, now: int) -> State:
    if task.finished is not None:
        return State.DONE if cured <= now else State.CURING
    if task.started is not None:
        return State.IN_HAND
    return State.WAITING if waits else State.READY
