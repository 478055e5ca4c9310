"""The one bridge between the rows of a build and its network: every page asks `plan_of`.

The figures are kept in the cache under the build's `plan_version` and the minute; whatever changes
an input of the plan calls `build.touch_plan()` (see `tasks.signals`). Rows that come out of a plan
are for reading: to change one, fetch it.
"""

from __future__ import annotations

import datetime as dt
import pickle
from collections.abc import Iterator
from functools import cached_property
from typing import Any

from django.core.cache import cache
from django.db import models, transaction
from django.utils import timezone

from tasks.models import Build, Link, Stage, Task, Work
from tasks.network import Calendar
from tasks.network import Link as NetworkLink
from tasks.network import Task as NetworkTask
from tasks.plan_figures import (
    Figures,
    Reckoned,
    State,
    calendar_of,
    minute_of,
    reckon,
    values_of,
)
from tasks.plan_rows import (
    LINK_FIELDS,
    STAGE_FIELDS,
    TASK_FIELDS,
    WORK_FIELDS,
    Row,
    Rows,
    read_rows,
)

__all__ = ["Plan", "State", "TaskPlan", "plan_of"]

#: A plan of another minute is of no use, so none is kept longer than this.
KEEP_SECONDS = 90
_FORMAT = 2
_TASK_STAGE, _TASK_ID = TASK_FIELDS.index("stage_id"), TASK_FIELDS.index("id")
_TASK_HANDS = TASK_FIELDS.index("hands")
_LINK_BEFORE, _LINK_AFTER = LINK_FIELDS.index("before_id"), LINK_FIELDS.index("after_id")


def plan_of(build: Build, now: dt.datetime | None = None) -> Plan:
    """The plan of a build as it stands at a moment, to the minute.

    One query where the plan of this minute is in the cache, nine where it is not.
    """
    now = (now or timezone.now()).replace(second=0, microsecond=0)
    version, zone_name = Build.objects.values_list("plan_version", "time_zone").get(pk=build.pk)
    key = f"plan-{build.pk}"
    made_of = (_FORMAT, version, zone_name, minute_of(now))
    kept = cache.get(key)
    if kept and kept[0] == made_of:
        rows, reckoned = pickle.loads(kept[1])  # noqa: S301 (our own cache)
        return Plan(build, now, version, rows, reckoned)
    rows = read_rows(build)
    reckoned = reckon(rows, build.zone, minute_of(now))
    packed = pickle.dumps((rows, reckoned), protocol=5)
    # Not before what we read is there for good: a roll-back must leave no plan of what never was.
    transaction.on_commit(lambda: cache.set(key, (made_of, packed), KEEP_SECONDS))
    return Plan(build, now, version, rows, reckoned)


class TaskPlan:
    """One task with all that follows from the plan. Moments are in the build's zone."""

    __slots__ = ("_figures", "_place", "_plan", "_task", "pk", "stage_id")

    def __init__(self, plan: Plan, place: int, row: Row) -> None:
        self._plan = plan
        self._place = place
        self._figures: Figures | None = None
        self._task: Task | None = None
        self.pk: int = row[_TASK_ID]
        self.stage_id: int = row[_TASK_STAGE]

    def __repr__(self) -> str:
        return f"<TaskPlan {self.task} {self.state}>"

    @property
    def task(self) -> Task:
        """The row, with its build and stage at hand."""
        if self._task is None:
            self._task = self._plan._make_task(self._place)
        return self._task

    @property
    def figures(self) -> Figures:
        """The same as whole numbers: clock minutes UTC, shop minutes, people-minutes."""
        if self._figures is None:
            self._figures = Figures._make(self._plan._reckoned.figures[self._place])
        return self._figures

    @property
    def state(self) -> State:
        return State(self.figures.state)

    @property
    def early_start(self) -> dt.datetime:
        return self._plan.moment(self.figures.early_start)

    @property
    def early_finish(self) -> dt.datetime:
        return self._plan.moment(self.figures.early_finish)

    @property
    def cured(self) -> dt.datetime:
        return self._plan.moment(self.figures.cured)

    @property
    def late_start(self) -> dt.datetime:
        return self._plan.moment(self.figures.late_start)

    @property
    def late_finish(self) -> dt.datetime:
        return self._plan.moment(self.figures.late_finish)

    @property
    def total_float(self) -> int:
        """Shop minutes by which it can slip without moving the launch."""
        return self.figures.total_float

    @property
    def free_float(self) -> int:
        """Shop minutes by which it can slip without moving any other task."""
        return self.figures.free_float

    @property
    def critical(self) -> bool:
        return self.figures.critical

    @property
    def driving(self) -> Link | None:
        """The link that fixes its early start."""
        place = self.figures.driving
        return None if place is None else self._plan.link_at(place)

    @property
    def logged_minutes(self) -> int:
        """People-minutes, with those of the clocks that run now."""
        return self.figures.logged

    @property
    def left_minutes(self) -> int:
        """People-minutes of work that remain."""
        return self.figures.left

    @property
    def left_shop_minutes(self) -> int:
        """Shop minutes of work that remain, with all its hands."""
        return -(-self.figures.left // self._plan._rows.tasks[self._place][_TASK_HANDS])

    @property
    def held_until(self) -> dt.datetime | None:
        """The moment before which the builder said it may not start, if that holds it now."""
        held = self.figures.held_until
        return None if held is None else self._plan.moment(held)

    @property
    def waits_for(self) -> list[tuple[Link, int, dt.datetime | None]]:
        """Links not satisfied now, with the task before and until when, where that is known."""
        waits = []
        for place, until in self.figures.waits:
            link = self._plan.link_at(place)
            moment = None if until is None else self._plan.moment(until)
            waits.append((link, link.before_id, moment))
        return waits

    @property
    def frees(self) -> list[int]:
        """Tasks for which this one is all that is still waited for."""
        return list(self.figures.frees)

    @property
    def running(self) -> list[Work]:
        """The clocks that run on it."""
        return self._plan.running.get(self.pk, [])


class Plan:
    """A build's plan at a moment. `tasks` is in plan order: by stage, then place in the stage."""

    def __init__(
        self, build: Build, now: dt.datetime, version: int, rows: Rows, reckoned: Reckoned
    ) -> None:
        self.build = build
        self.version = version
        self.zone = build.zone
        self.now = now.astimezone(self.zone)
        self._rows = rows
        self._reckoned = reckoned
        self._links: dict[int, Link] = {}
        self.problems: list[str] = reckoned.problems
        self.critical_path: list[int] = reckoned.critical_path
        self.tasks: dict[int, TaskPlan] = {
            row[_TASK_ID]: TaskPlan(self, place, row) for place, row in enumerate(rows.tasks)
        }

    def moment(self, minute: int) -> dt.datetime:
        """A clock minute as a moment in the build's zone."""
        return dt.datetime.fromtimestamp(minute * 60, self.zone)

    @cached_property
    def launch(self) -> dt.datetime | None:
        """When the last task is finished and cured; None without tasks or without shop hours."""
        minute = self._reckoned.launch
        return None if minute is None else self.moment(minute)

    @cached_property
    def stages(self) -> list[Stage]:
        return [self._own(Stage, STAGE_FIELDS, row) for row in self._rows.stages]

    @cached_property
    def links(self) -> list[Link]:
        return [self.link_at(place) for place in range(len(self._rows.links))]

    @property
    def link_pairs(self) -> list[tuple[int, int]]:
        """The tasks before and after of each link, by its place: where the rest is not asked."""
        return [(row[_LINK_BEFORE], row[_LINK_AFTER]) for row in self._rows.links]

    def link_at(self, place: int) -> Link:
        """The link of that place among the links: made when it is asked for, and once."""
        link = self._links.get(place)
        if link is None:
            link = self._links[place] = self._own(Link, LINK_FIELDS, self._rows.links[place])
        return link

    @cached_property
    def running(self) -> dict[int, list[Work]]:
        """The running clocks by task."""
        running: dict[int, list[Work]] = {}
        for row in self._rows.running:
            work = self._own(Work, WORK_FIELDS, row)
            running.setdefault(work.task_id, []).append(work)
        return running

    @cached_property
    def calendar(self) -> Calendar:
        """The shop hours that the dates were reckoned with."""
        return calendar_of(self._reckoned, self.zone)

    def network_values(self) -> tuple[list[NetworkTask], list[NetworkLink]]:
        """The tasks and links as the network takes them, at the plan's moment."""
        return values_of(self._rows, self.zone, minute_of(self.now))

    @property
    def week(self) -> dict[int, list[tuple[int, int]]]:
        """The stretches of each weekday, in minutes of the day, that dates were reckoned with."""
        return self._reckoned.week

    @property
    def first_day(self) -> dt.date:
        """The day on which the calendar begins."""
        return self._reckoned.first_day

    @property
    def days_off(self) -> list[tuple[dt.date, dt.date, str]]:
        """First day, last day and reason."""
        return self._reckoned.days_off

    @cached_property
    def stage_of(self) -> dict[int, Stage]:
        return {stage.pk: stage for stage in self.stages}

    def by_stage(self) -> Iterator[tuple[Stage, list[TaskPlan]]]:
        """Each stage with its tasks, in order; stages without tasks too."""
        tasks: dict[int, list[TaskPlan]] = {stage.pk: [] for stage in self.stages}
        for planned in self.tasks.values():
            tasks[planned.stage_id].append(planned)
        return ((stage, tasks[stage.pk]) for stage in self.stages)

    def in_state(self, *states: State) -> list[TaskPlan]:
        return [planned for planned in self.tasks.values() if planned.figures.state in states]

    def links_in(self, pk: int) -> list[Link]:
        """The links that hold a task."""
        return [self.link_at(place) for place in self._link_places[1].get(pk, ())]

    def links_out(self, pk: int) -> list[Link]:
        """The links by which a task holds others."""
        return [self.link_at(place) for place in self._link_places[0].get(pk, ())]

    @cached_property
    def _link_places(self) -> tuple[dict[int, list[int]], dict[int, list[int]]]:
        out: dict[int, list[int]] = {}
        into: dict[int, list[int]] = {}
        for place, row in enumerate(self._rows.links):
            out.setdefault(row[_LINK_BEFORE], []).append(place)
            into.setdefault(row[_LINK_AFTER], []).append(place)
        return out, into

    def _make_task(self, place: int) -> Task:
        task = self._own(Task, TASK_FIELDS, self._rows.tasks[place])
        task._state.fields_cache["stage"] = self.stage_of[task.stage_id]
        return task

    def _own(self, model: type[models.Model], fields: tuple[str, ...], row: Row) -> Any:
        made = model.from_db(None, fields, row)
        made._state.db = self.build._state.db
        made._state.fields_cache["build"] = self.build
        return made
