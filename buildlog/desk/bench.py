"""What the bench shows: the jobs in their order, with the reason and the facts of each."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field, replace
from decimal import Decimal
from math import ceil

from django.db.models import Exists, OuterRef, Q

from buildlog.ahead.slips import kept_slips, slip_words
from buildlog.desk.shed_hours import ShedHours, shed_hours
from buildlog.materials.models import Material, Part
from buildlog.materials.need import Needs, TaskRow
from tasks.hours import show_hours
from tasks.models import Act, ActKind, Build, Doing, Person, Work
from tasks.order import Order
from tasks.plan import Plan, State, TaskPlan
from tasks.words import Step, hands_words, reason, what_sets

MOST_JOBS = 12
MOST_SOON = 6
FEWEST_IN_ORDER = 3
SOON = dt.timedelta(days=21)
STILL_TO_CONFIRM = dt.timedelta(days=90)
COUNTED = frozenset({Material.Unit.SHEET, Material.Unit.LENGTH, Material.Unit.EACH})


@dataclass(frozen=True, slots=True)
class Short:
    """What a task is short of: a whole number of what is counted. `to_order`: nobody has yet."""

    material: Material
    amount: Decimal
    to_order: bool


@dataclass(frozen=True, slots=True)
class ToOrder:
    """A material to order, the first task that is short of it, and what the build needs in all."""

    material: Material
    planned: TaskPlan
    to_buy: Decimal


@dataclass(frozen=True, slots=True)
class Job:
    """A task of the bench. The reason's first words, up to the colon or stop, are set heavy."""

    number: int
    planned: TaskPlan
    heavy: str
    reason: str
    facts: str
    short: list[Short] = field(default_factory=list)
    unfit: list[Material] = field(default_factory=list)  # enough, but in pieces too small
    in_shed: bool | None = None  # None where the task needs no material
    slip: str = ""  # what it costs not to do it now

    @property
    def in_hand(self) -> bool:
        return self.planned.figures.state == State.IN_HAND


@dataclass(frozen=True, slots=True)
class Clock:
    work: Work
    planned: TaskPlan
    minutes: int


@dataclass(frozen=True, slots=True)
class Bench:
    hours: ShedHours
    mine: Clock | None
    others: list[Clock]
    jobs: list[Job]
    more_jobs: list[Job]
    hidden: int
    soon: list[Job]
    curing: list[Job]
    to_order: list[ToOrder]
    steps: list[Step]
    done: int


def bench_of(plan: Plan, needs: Needs, person: Person, order: Order | None = None) -> Bench:
    """The bench of a person. One query beyond those that made the plan and the needs.

    With an order of work the jobs stand as it has them, also where it is of yesterday.
    """
    clocks = _clocks(plan)
    mine = next((one for one in clocks if one.work.person_id == person.pk), None)
    hours = shed_hours(plan)
    ranks = {pk: rank for rank, pk in enumerate(order.order)} if order else {}
    turn = sorted(
        plan.in_state(State.IN_HAND, State.READY),
        key=lambda one: (ranks.get(one.pk, len(ranks)), _turn(one)),
    )
    turn = [one for one in turn if mine is None or one.pk != mine.planned.pk]
    slips = kept_slips(plan)
    shown = [
        replace(_job(plan, needs, place, one), slip=slip_words(slips.get(one.pk, 0), hours.title))
        for place, one in enumerate(turn[:MOST_JOBS], 1)
    ]
    fits = _that_fit(shown, hours.minutes)
    soon = _soon(plan)
    upcoming = [_job(plan, needs, 0, one) for one in soon]
    return Bench(
        hours=hours,
        mine=mine,
        others=[one for one in clocks if one is not mine],
        jobs=shown[:fits],
        more_jobs=shown[fits:],
        hidden=len(turn) - len(shown),
        soon=upcoming,
        curing=[_job(plan, needs, 0, one) for one in plan.in_state(State.CURING)],
        to_order=_to_order(needs, [*shown, *upcoming]),
        steps=what_sets(plan),
        done=len(plan.in_state(State.DONE, State.CURING)),
    )


def _turn(planned: TaskPlan) -> tuple[bool, int, int]:
    """No float first, then the least float, then what could begin earliest."""
    figures = planned.figures
    return (not figures.critical, figures.total_float, figures.early_start)


def _clocks(plan: Plan) -> list[Clock]:
    clocks = []
    for pk, rows in plan.running.items():
        for work in rows:
            ran = max(int((plan.now - work.begun).total_seconds() // 60), 0)
            clocks.append(Clock(work, plan.tasks[pk], ran))
    return clocks


def _job(plan: Plan, needs: Needs, number: int, planned: TaskPlan) -> Job:
    heavy, rest = split_reason(reason(plan, planned))
    rows = needs.of_task(planned.pk)
    return Job(
        number=number,
        planned=planned,
        heavy=heavy,
        reason=rest,
        facts=facts_line(planned),
        short=[short_of(row) for row in rows if not row.covered and row.short > 0],
        unfit=[row.material for row in rows if not row.covered and row.short <= 0],
        in_shed=all(row.covered for row in rows) if rows else None,
    )


def split_reason(text: str) -> tuple[str, str]:
    """The first words of a reason, to be set heavy, and the rest.

    >>> split_reason("No float: each day late is a day later at launch.")
    ('No float:', ' each day late is a day later at launch.')
    >>> split_reason("Float 19 days. Frees two tasks.")
    ('Float 19 days.', ' Frees two tasks.')
    >>> split_reason("Cures until Thu 26 Nov 16:21. Frees one task.")
    ('Cures until Thu 26 Nov 16:21.', ' Frees one task.')
    """
    ends = [place for place in (text.find(": "), f"{text} ".find(". ")) if place > 0]
    if not ends or not text.startswith(("No float", "Float", "Cures")):
        return "", text
    cut = min(ends) + 1
    return text[:cut], text[cut:]


def facts_line(planned: TaskPlan) -> str:
    """“Stiffeners · 3 h left of 5 h · one pair of hands”."""
    task, figures = planned.task, planned.figures
    facts = [task.stage.name]
    if task.doing != Doing.OWN and figures.state != State.DONE:
        facts.append(task.get_doing_display())
    elif figures.state not in (State.DONE, State.CURING):
        whole = figures.left + figures.logged
        left = show_hours(figures.left)
        if figures.logged:
            left = f"{left} left, {show_hours(figures.logged)} worked"
        elif whole:
            left = f"{left} of work"
        facts += [left, hands_words(task.hands)]
    if task.cure_minutes:
        facts.append(f"then cures {show_hours(task.cure_minutes)}")
    return " · ".join(facts)


def _that_fit(jobs: list[Job], minutes: int) -> int:
    """How many jobs, in their order, fill the hours ahead; a few at least."""
    used = 0
    for place, job in enumerate(jobs):
        if place >= FEWEST_IN_ORDER and used >= minutes:
            return place
        used += job.planned.left_shop_minutes
    return len(jobs)


def _soon(plan: Plan) -> list[TaskPlan]:
    until = plan.now + SOON
    waiting = [one for one in plan.in_state(State.WAITING) if one.early_start <= until]
    return sorted(waiting, key=lambda one: (one.figures.early_start, not one.figures.critical))[
        :MOST_SOON
    ]


def short_of(row: TaskRow) -> Short:
    amount = row.short
    if row.material.unit in COUNTED:
        amount = Decimal(ceil(amount))
    return Short(row.material, amount, row.to_buy_share > 0)


def _to_order(needs: Needs, jobs: list[Job]) -> list[ToOrder]:
    """What the jobs shown are short of and nobody has ordered; each material once."""
    to_buy = {row.material.pk: row.to_buy for row in needs.materials}
    rows: dict[int, ToOrder] = {}
    for job in jobs:
        for short in job.short:
            if short.to_order and short.material.pk not in rows:
                pk = short.material.pk
                rows[pk] = ToOrder(short.material, job.planned, to_buy[pk])
    return list(rows.values())


def uses_to_confirm(build: Build, now: dt.datetime) -> list[Act]:
    """Finishes of which nobody has said yet what material they used. One query."""
    has_parts = Exists(Part.objects.filter(task=OuterRef("task")))
    unsaid = Q(before__uses_said__isnull=True) & Q(stock_moves__isnull=True)
    acts = Act.objects.filter(has_parts, unsaid, build=build, kind=ActKind.FINISH, undone_at=None)
    return list(acts.filter(at__gte=now - STILL_TO_CONFIRM).select_related("task")[:5])
