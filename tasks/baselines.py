"""Baselines: the plan as it once stood, kept whole, and how far the plan has moved since.

Pages ask `baseline_of` for the one that is compared with.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import astuple, dataclass

from django.db import transaction

from tasks.changes import Refused, alone_on
from tasks.models import Baseline, BaselineTask, Build, Person
from tasks.order import Order, order_of
from tasks.plan import Plan, TaskPlan, plan_of
from tasks.plan_figures import minute_of

__all__ = [
    "FloatEaten",
    "StageSlip",
    "baseline_of",
    "compare_with",
    "delete_baseline",
    "floats_eaten",
    "keep_baseline",
    "slip_by_stage",
]

#: The same name sent again by the same person within this time is a second click.
SECOND_CLICK = dt.timedelta(minutes=1)
NO_LAUNCH = "There is no launch date yet, so there is no plan to keep. {why}"
NAME_TAKEN = "There is a baseline of that name already. Give this one another."
SHOWN_FLOATS = 12


@dataclass(frozen=True, slots=True)
class StageSlip:
    """When a stage was to be finished, and when it is now; None where it was not, or is not."""

    name: str
    planned: dt.datetime | None
    now: dt.datetime | None
    done: bool
    added: int
    gone: int

    @property
    def days(self) -> int | None:
        """Days of the calendar by which it finishes later than planned."""
        if self.planned is None or self.now is None:
            return None
        return (self.now.date() - self.planned.date()).days


@dataclass(frozen=True, slots=True)
class FloatEaten:
    """An unfinished task that has less float than it had; shop minutes."""

    task: TaskPlan
    then: int
    left: int

    @property
    def eaten(self) -> int:
        return self.then - self.left


def baseline_of(build: Build) -> Baseline | None:
    """The baseline that the plan is compared with; its `dates` are start and finish by task id.

    One query.
    """
    kept = Baseline.objects.filter(build=build, compared=True).first()
    if kept is not None:
        kept._state.fields_cache["build"] = build
    return kept


def keep_baseline(
    build: Build, name: str, person: Person | None, *, compared: bool = True
) -> Baseline:
    """Keep the plan as it stands, under a name; the first one kept is always compared with.

    Raises Refused if the name is taken, or there is no launch date.
    """
    with alone_on(build) as fresh:
        same = Baseline.objects.filter(build=fresh, name=name).first()
        plan = plan_of(fresh)
        if same is not None:
            by_them = person is not None and same.by_id == person.pk
            if by_them and abs(plan.now - same.made_at) <= SECOND_CLICK:
                return same
            raise Refused(NAME_TAKEN)
        order = order_of(plan)
        if order is None or order.launch is None or plan.launch is None:
            why = plan.problems[0] if plan.problems else "Add tasks first."
            raise Refused(NO_LAUNCH.format(why=why))
        others = Baseline.objects.filter(build=fresh)
        compared = compared or not others.exists()
        if compared:
            others.update(compared=False)
        return Baseline.objects.create(
            build=fresh,
            name=name,
            made_at=plan.now,
            by=person,
            who=str(person)[:120] if person else "",
            launch=order.launch,
            launch_endless=plan.launch,
            rows=[list(astuple(task)) for task in _planned(plan, order)],
            compared=compared,
        )


def _planned(plan: Plan, order: Order) -> Iterable[BaselineTask]:
    for stage, tasks in plan.by_stage():
        for one in tasks:
            start, finish = one.early_start, one.early_finish
            if placed := order.places.get(one.pk):
                start, finish = placed.start, placed.finish
            yield BaselineTask(
                one.pk, one.task.code, one.task.name, stage.pk, stage.name,
                minute_of(start), minute_of(finish), one.task.likely_minutes, one.total_float,
            )  # fmt: skip


def compare_with(baseline: Baseline) -> None:
    """Compare the plan with this baseline from now on."""
    with alone_on(baseline.build) as build:
        Baseline.objects.filter(build=build).exclude(pk=baseline.pk).update(compared=False)
        Baseline.objects.filter(build=build, pk=baseline.pk).update(compared=True)


def delete_baseline(baseline: Baseline) -> None:
    """Delete it for good. If it was compared with, the newest of the others is from now on."""
    with transaction.atomic(), alone_on(baseline.build) as build:
        Baseline.objects.filter(build=build, pk=baseline.pk).delete()
        rest = Baseline.objects.filter(build=build)
        newest = rest.first()
        if newest is not None and not rest.filter(compared=True).exists():
            rest.filter(pk=newest.pk).update(compared=True)


def slip_by_stage(baseline: Baseline, plan: Plan, order: Order | None) -> list[StageSlip]:
    """Each stage's finish in the baseline and now, in the order of the plan; lost ones at the end.

    A stage finishes with its last task, by the order of work where there is one. A task counts in
    the stage where it was then, and in the one where it is now.
    """
    then: dict[int, list[BaselineTask]] = {}
    for kept in baseline.tasks:
        then.setdefault(kept.stage, []).append(kept)
    known = {one.task for rows in then.values() for one in rows}
    slips = []
    for stage, tasks in plan.by_stage():
        rows = then.pop(stage.pk, [])
        if tasks or rows:
            slips.append(_slip(stage.name, rows, tasks, plan, order, known))
    for rows in then.values():
        slips.append(_slip(rows[0].stage_name, rows, [], plan, order, known))
    return slips


def _slip(
    name: str,
    rows: list[BaselineTask],
    tasks: list[TaskPlan],
    plan: Plan,
    order: Order | None,
    known: set[int],
) -> StageSlip:
    return StageSlip(
        name=name,
        planned=plan.moment(max(one.finish for one in rows)) if rows else None,
        now=max((_finish(one, order) for one in tasks), default=None),
        done=bool(tasks) and all(one.task.finished_at for one in tasks),
        added=sum(one.pk not in known for one in tasks),
        gone=sum(one.task not in plan.tasks for one in rows),
    )


def _finish(planned: TaskPlan, order: Order | None) -> dt.datetime:
    if planned.task.finished_at is None and order and planned.pk in order.places:
        return order.places[planned.pk].finish
    return planned.early_finish


def floats_eaten(then: Mapping[int, int], plan: Plan, most: int = SHOWN_FLOATS) -> list[FloatEaten]:
    """Unfinished tasks whose float shrank most since then, first the most.

    `then` gives shop minutes of float by task. What was late already has no float to eat.
    """
    eaten = [
        FloatEaten(one, max(then[pk], 0), max(one.total_float, 0))
        for pk, one in plan.tasks.items()
        if pk in then and one.task.finished_at is None
    ]
    eaten = [one for one in eaten if one.eaten > 0]
    eaten.sort(key=lambda one: (-one.eaten, one.left))
    return eaten[:most]
