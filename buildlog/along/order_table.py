"""The order of work as a table: each task with its dates by the hands there are, and without."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from buildlog.lists.writing import Cell, hours
from tasks.models import Task
from tasks.order import Order
from tasks.order_room import room_in
from tasks.plan import Plan, State, TaskPlan

__all__ = ["COLUMNS", "OrderRow", "OrderSheet", "cells_of", "sheet_of"]

COLUMNS = (
    "Place", "Number", "Task", "Stage", "Is", "Done by", "Hands", "Hours left",
    "Begins", "Ends", "Cured", "Spare hours", "Pinned",
    "Early start", "Early finish", "Early cured", "Late start", "Late finish",
    "Float hours", "Free float hours", "Critical", "Time zone",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class OrderRow:
    """A task in the order of work. Moments are in the build's zone, floats in shop minutes.

    Attributes
    ----------
    place
        Its place among the unfinished tasks, from 1; None if it is finished, is left out or has
        no place.
    start, finish, cured
        With the hands there are; actual ones where there are any. Of a task in hand `start` is
        when it was begun. None where there is no order of work.
    spare
        Shop minutes by which it can be late with these hands without moving the launch.
    planned
        The same task with endless hands.
    """

    place: int | None
    start: dt.datetime | None
    finish: dt.datetime | None
    cured: dt.datetime | None
    spare: int | None
    pinned: bool
    planned: TaskPlan

    @property
    def task(self) -> Task:
        return self.planned.task


@dataclass(frozen=True, slots=True)
class OrderSheet:
    """All tasks: what is begun or finished by its start, then the rest as they come."""

    plan: Plan
    order: Order | None
    tasks: list[OrderRow]


def sheet_of(plan: Plan, order: Order | None) -> OrderSheet:
    """The order of work of a plan; no query for each task."""
    rooms = room_in(plan, order) if order else {}
    waiting = [pk for pk in order.order if pk in plan.tasks] if order else []
    turn = {
        pk: number
        for number, pk in enumerate(
            (pk for pk in waiting if plan.tasks[pk].state != State.LEFT_OUT), 1
        )
    }
    rows = []
    for pk, planned in plan.tasks.items():
        task = planned.task
        place = order.places.get(pk) if order else None
        room = rooms.get(pk)
        rows.append(
            OrderRow(
                place=turn.get(pk),
                start=place.start if place else None,
                finish=place.finish if place else None,
                cured=place.cured if place else None,
                spare=room.spare if room and pk in turn else None,
                pinned=task.pinned_at is not None and task.started_at is None,
                planned=planned,
            )
        )
    rows.sort(key=lambda row: (row.place or 0, row.start or row.planned.early_start, row.task.pk))
    return OrderSheet(plan, order, rows)


def cells_of(row: OrderRow, plan: Plan) -> list[Cell]:
    """The cells of a row, as `COLUMNS` names them."""
    planned, task = row.planned, row.task
    return [
        row.place, task.code, task.name, task.stage.name, planned.state.value,
        task.get_doing_display(), task.hands, hours(planned.left_minutes),
        _wall(row.start), _wall(row.finish), _wall(row.cured),
        None if row.spare is None else hours(row.spare), row.pinned,
        _wall(planned.early_start), _wall(planned.early_finish), _wall(planned.cured),
        _wall(planned.late_start), _wall(planned.late_finish),
        hours(planned.total_float), hours(planned.free_float), planned.critical,
        plan.build.time_zone,
    ]  # fmt: skip


def _wall(moment: dt.datetime | None) -> str | None:
    """A moment as spreadsheets read one: by the build's clock, to the minute."""
    return None if moment is None else f"{moment:%Y-%m-%d %H:%M}"
