"""What is done to a task from the bench: start, stop, finish, say what is left, and undo.

Each act is one transaction that first locks the build's row, so that a double click, two tabs or
two people meet one after the other. What was logged is never thrown away: undo restores exactly
what the act changed, and where that would lose hours or overwrite later ones it says why not.

A clock that runs past midnight is logged as one row for each day of the build's zone; the minutes
of the rows add up to the whole.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from functools import wraps
from typing import Any, Concatenate, ParamSpec, TypeVar

from django.db import transaction
from django.utils.dateparse import parse_datetime

from tasks.hours import show_hours
from tasks.models import Act, ActKind, Build, Person, Task, Work

__all__ = ["CannotDo", "finish", "said", "say_left", "start", "stop", "undo"]

#: A start that ran longer than this is not undone but stopped: its hours were worked.
SHORT_CLOCK = dt.timedelta(minutes=10)
#: A clock is not set running again after longer than this: nobody worked all that while.
LONG_AGO = dt.timedelta(hours=12)

P = ParamSpec("P")
R = TypeVar("R")


class CannotDo(Exception):
    """An act that is refused; the message tells the person why and what to do."""

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


def _one_at_a_time(
    change: Callable[Concatenate[Any, P], R],
) -> Callable[Concatenate[Any, P], R]:
    """Run a change in a transaction of its own, alone on the build of its first argument."""

    @wraps(change)
    def alone(subject: Task | Act, *args: P.args, **kwargs: P.kwargs) -> R:
        with transaction.atomic():
            build = Build.objects.select_for_update().get(pk=subject.build_id)
            fresh = type(subject)._default_manager.filter(build=build, pk=subject.pk).first()
            if fresh is None:
                raise CannotDo("It is not there any more: somebody has deleted it.")
            fresh._state.fields_cache["build"] = build
            return change(fresh, *args, **kwargs)

    return alone


@_one_at_a_time
def start(task: Task, person: Person, now: dt.datetime) -> Act:
    """Set the person's clock running on a task; a clock on another task is stopped first.

    Where it runs already, nothing changes and the act that started it is given back.
    """
    if task.finished_at:
        raise CannotDo(f"{task} is finished. If it is not, undo the finish first.")
    running = Work.objects.filter(build=task.build, person=person, minutes=None).first()
    if running and running.task_id == task.pk:
        return _last(task, ActKind.START, person) or _note(task, person, ActKind.START, now, {})
    before: dict[str, Any] = {"started_at": _iso(task.started_at), "stopped": []}
    if running:
        now = max(now, running.begun)
        before["stopped"] = _stop_clocks([running], now)
        before["stopped_task"] = str(running.task) if running.task else ""
    work = Work.objects.create(
        build=task.build, task=task, person=person, who=str(person)[:120],
        day=_day(task.build, now), started_at=now,
    )  # fmt: skip
    before["work"] = work.pk
    if task.started_at is None:
        task.started_at = min(now, _first_worked(task) or now)
        task.save(update_fields=["started_at"])
    return _note(task, person, ActKind.START, now, before)


@_one_at_a_time
def stop(task: Task, person: Person, now: dt.datetime) -> Act:
    """Stop the person's clock on a task and log its hours. A second stop changes nothing."""
    clocks = list(Work.objects.filter(task=task, person=person, minutes=None))
    if not clocks:
        last = Act.objects.filter(task=task, person=person, undone_at=None).order_by("pk").last()
        if last and last.kind in (ActKind.STOP, ActKind.FINISH):
            return last
        raise CannotDo(f"No clock of yours is running on {task}.")
    stopped = _stop_clocks(clocks, now)
    return _note(task, person, ActKind.STOP, now, {"stopped": stopped})


@_one_at_a_time
def finish(task: Task, person: Person, now: dt.datetime) -> Act:
    """Finish a task: every clock on it is stopped. A second finish changes nothing."""
    if task.finished_at:
        last = _last(task, ActKind.FINISH)
        if last:
            return last
        raise CannotDo(f"{task} is finished already.")
    clocks = list(Work.objects.filter(task=task, minutes=None))
    before = {"started_at": _iso(task.started_at), "stopped": _stop_clocks(clocks, now)}
    if task.started_at is None:
        task.started_at = min(now, _first_worked(task) or now)
    task.finished_at = max(now, task.started_at)
    task.save(update_fields=["started_at", "finished_at"])
    return _note(task, person, ActKind.FINISH, now, before)


@_one_at_a_time
def say_left(task: Task, person: Person, minutes: int | None, now: dt.datetime) -> Act:
    """Say how many people-minutes are left of a task; None goes back to estimate less logged."""
    if task.finished_at:
        raise CannotDo(f"{task} is finished: nothing is left of it.")
    if minutes is not None and minutes < 0:
        raise CannotDo("Less than nothing cannot be left.")
    before = {"left": task.left_minutes, "left_said_at": _iso(task.left_said_at)}
    task.left_minutes = minutes
    task.left_said_at = None if minutes is None else now
    task.save(update_fields=["left_minutes", "left_said_at"])
    return _note(task, person, ActKind.LEFT, now, before | {"said": minutes})


@_one_at_a_time
def undo(act: Act, person: Person, now: dt.datetime) -> Act:
    """Put back exactly what an act changed. A second undo changes nothing.

    Only the newest act of a task is undone: later ones stand on it.
    """
    if act.undone_at:
        return act
    task = Task.objects.get(pk=act.task_id)
    task._state.fields_cache["build"] = act.build
    if Act.objects.filter(task=task, undone_at=None, pk__gt=act.pk).exists():
        raise CannotDo(f"More was done to {task} since. Undo the newest first.")
    if act.kind == ActKind.START:
        _undo_start(act, task, now)
    elif act.kind == ActKind.STOP:
        _run_again(act, now)
    elif act.kind == ActKind.FINISH:
        task.started_at = _moment(act.before.get("started_at"))
        task.finished_at = None
        task.save(update_fields=["started_at", "finished_at"])
        _run_again_if_possible(act, now)
    else:
        task.left_minutes = act.before["left"]
        task.left_said_at = _moment(act.before["left_said_at"])
        task.save(update_fields=["left_minutes", "left_said_at"])
    act.undone_at = now
    act.save(update_fields=["undone_at"])
    return act


def said(act: Act) -> str:
    """What an act did, in a sentence for the person."""
    task, before = act.task, act.before
    if act.undone_at:
        return f"Undone: {act.get_kind_display()} {task}."
    logged = sum(row["logged"] for row in before.get("stopped", ()))
    if act.kind == ActKind.START:
        text = f"Started {task}."
        if before.get("stopped"):
            text += f" Stopped {before['stopped_task'] or 'the other clock'}"
            text += f": {show_hours(logged)} logged."
    elif act.kind == ActKind.STOP:
        text = f"Stopped {task}: {show_hours(logged)} logged."
    elif act.kind == ActKind.FINISH:
        text = f"Finished {task}." + (f" {show_hours(logged)} logged." if logged else "")
    elif before["said"] is None:
        return f"What is left of {task} follows from its estimate and its hours again."
    else:
        return f"{show_hours(before['said'])} left of {task}."
    if any(row["logged"] > LONG_AGO.total_seconds() / 60 for row in before.get("stopped", ())):
        text += " If the clock was forgotten, correct the hours in the log."
    return text


def _stop_clocks(clocks: Iterable[Work], now: dt.datetime) -> list[dict[str, Any]]:
    """Stop running clocks, a row for each day they ran on; tell how to set them running again."""
    stopped = []
    for clock in clocks:
        begun = clock.begun
        end = max(now, begun)
        ends = [*_midnights(clock.build, begun, end), end]
        upto = [round((moment - begun).total_seconds() / 60) for moment in ends]
        clock.stopped_at, clock.minutes = ends[0], upto[0]
        clock.save(update_fields=["stopped_at", "minutes"])
        more = []
        for place in range(1, len(ends)):
            row = Work.objects.create(
                build=clock.build, task_id=clock.task_id, person_id=clock.person_id,
                who=clock.who, day=_day(clock.build, ends[place - 1]),
                minutes=upto[place] - upto[place - 1],
                started_at=ends[place - 1], stopped_at=ends[place],
            )  # fmt: skip
            more.append({"work": row.pk, "minutes": row.minutes})
        stopped.append(
            {"work": clock.pk, "minutes": clock.minutes, "more": more, "logged": upto[-1]}
        )
    return stopped


def _midnights(build: Build, start: dt.datetime, end: dt.datetime) -> list[dt.datetime]:
    """The midnights of the build's zone between two moments."""
    midnights = []
    day = start.astimezone(build.zone).date() + dt.timedelta(days=1)
    while (moment := dt.datetime.combine(day, dt.time(), build.zone)) < end:
        midnights.append(moment.astimezone(dt.UTC))
        day += dt.timedelta(days=1)
    return midnights


def _undo_start(act: Act, task: Task, now: dt.datetime) -> None:
    clock = Work.objects.filter(pk=act.before.get("work"), task=task).first()
    if clock and not clock.running:
        raise CannotDo(f"The clock on {task} was stopped since; its hours stay in the log.")
    if clock and not act.before["stopped"] and now - clock.begun > SHORT_CLOCK:
        ran = show_hours(round((now - clock.begun).total_seconds() / 60))
        raise CannotDo(f"The clock on {task} has run for {ran}. Stop it, so that they are kept.")
    if clock:
        clock.delete()
    _run_again(act, now)
    task.started_at = _moment(act.before.get("started_at"))
    task.save(update_fields=["started_at"])


def _run_again(act: Act, now: dt.datetime) -> None:
    """Set the clocks that an act stopped running again, as if they never had been stopped."""
    rows = act.before.get("stopped", ())
    if rows and now - act.at > LONG_AGO:
        raise CannotDo("That was too long ago to let the clock run on. Start it again instead.")
    for row in rows:
        clock = Work.objects.select_related("task").filter(pk=row["work"]).first()
        more = list(Work.objects.filter(pk__in=[piece["work"] for piece in row["more"]]))
        as_left = {row["work"]: row["minutes"]}
        as_left |= {piece["work"]: piece["minutes"] for piece in row["more"]}
        if clock is None or {work.pk: work.minutes for work in (clock, *more)} != as_left:
            raise CannotDo("The hours it logged were changed since; correct them in the log.")
        if clock.task and clock.task.finished_at:
            raise CannotDo(f"{clock.task} is finished; no clock can run on it.")
        other = Work.objects.filter(build=act.build, person=clock.person_id, minutes=None).first()
        if other:
            raise CannotDo(f"{clock.who} has a clock running on {other.task}. Stop that first.")
        for work in more:
            work.delete()
        clock.stopped_at = clock.minutes = None
        clock.save(update_fields=["stopped_at", "minutes"])


def _run_again_if_possible(act: Act, now: dt.datetime) -> None:
    """A finish can be undone on another day too: then its hours stay logged as they are."""
    try:
        with transaction.atomic():
            _run_again(act, now)
    except CannotDo:
        pass


def _first_worked(task: Task) -> dt.datetime | None:
    """When work on a task was first logged, for a task that nobody had started by the clock."""
    first = Work.objects.filter(task=task, minutes__isnull=False).order_by("day", "pk").first()
    if first is None:
        return None
    return first.started_at or dt.datetime.combine(first.day, dt.time(), task.build.zone)


def _last(task: Task, kind: ActKind, person: Person | None = None) -> Act | None:
    acts = Act.objects.filter(task=task, kind=kind, undone_at=None).order_by("pk")
    return (acts.filter(person=person) if person else acts).last()


def _note(
    task: Task, person: Person, kind: ActKind, now: dt.datetime, before: dict[str, Any]
) -> Act:
    return Act.objects.create(
        build=task.build, task=task, person=person, kind=kind, at=now, before=before
    )


def _day(build: Build, moment: dt.datetime) -> dt.date:
    return moment.astimezone(build.zone).date()


def _iso(moment: dt.datetime | None) -> str | None:
    return moment.isoformat() if moment else None


def _moment(text: str | None) -> dt.datetime | None:
    return parse_datetime(text) if text else None
