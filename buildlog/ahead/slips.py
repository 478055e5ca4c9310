"""What it costs not to do a job now: how much later she launches if it waits for the next week."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from django.db import transaction

from buildlog.desk.shed_hours import shed_hours
from tasks.launches import Base, has_aged
from tasks.models import Answer, AnswerKind, Build
from tasks.network import LinkKind
from tasks.order_values import Inputs
from tasks.plan import Plan, State
from tasks.plan_figures import minute_of
from tasks.words import of

__all__ = ["kept_slips", "reckon_slips", "slip_words"]

MOST_JOBS = 12
_FROM_START = (LinkKind.SS, LinkKind.SF)
_WHEN = {
    "This weekend": "this weekend",
    "This week": "this week",
    "The coming week": "in the coming week",
}


def reckon_slips(plan: Plan, base: Base) -> None:
    """Hold the plan against itself with each job put off, and keep by how much she slips."""
    until = next_monday(plan)
    slips = {}
    for pk in _jobs(plan, base) if until else ():
        if has_aged(plan):
            return
        changed = _put_off(base.inputs, pk, _midnight(plan, until)) if until else None
        launch = base.launch_of(changed) if changed else None
        if launch is not None:
            slips[str(pk)] = max(launch - base.launch, 0)
    with transaction.atomic():
        fresh = Build.objects.select_for_update().get(pk=plan.build.pk)
        if fresh.plan_version == plan.version:
            Answer.objects.update_or_create(
                build=plan.build,
                kind=AnswerKind.SLIPS,
                defaults={
                    "plan_version": plan.version,
                    "made_at": plan.now,
                    "figures": {"until": str(until or ""), "slips": slips},
                },
            )


def kept_slips(plan: Plan) -> dict[int, int]:
    """Minutes that the launch slips, by the task put off; nothing where that is of another plan.

    One query.
    """
    answer = Answer.objects.filter(
        build=plan.build, kind=AnswerKind.SLIPS, plan_version=plan.version
    ).first()
    if answer is None or answer.figures["until"] != str(next_monday(plan) or ""):
        return {}
    return {int(pk): minutes for pk, minutes in answer.figures["slips"].items()}


def slip_words(minutes: int, title: str) -> str:
    """The sentence under a job, by the title of the days ahead; nothing where no day is lost.

    >>> slip_words(6 * 1440, "This weekend")
    'Not done this weekend, she launches six days later.'
    """
    days = round(minutes / 1440)
    if not days:
        return ""
    return f"Not done {_WHEN.get(title, 'now')}, she launches {of(days, 'day')} later."


def next_monday(plan: Plan) -> dt.date | None:
    """The Monday after the coming days in the shed; None if there are none."""
    days = shed_hours(plan).days
    if not days:
        return None
    last = days[-1][0]
    return last + dt.timedelta(days=7 - last.weekday())


def _midnight(plan: Plan, day: dt.date) -> int:
    return minute_of(dt.datetime.combine(day, dt.time(), plan.zone))


def _jobs(plan: Plan, base: Base) -> list[int]:
    """What could be done now, as the order of work has it."""
    could = {one.pk for one in plan.in_state(State.IN_HAND, State.READY)}
    places = {pk: place for place, pk in enumerate(base.found.order)}
    return sorted(could, key=lambda pk: places.get(pk, len(places)))[:MOST_JOBS]


def _put_off(inputs: Inputs, pk: int, until: int) -> Inputs | None:
    """The inputs with a task that is not worked on before a moment; None if it cannot be told.

    What is left of a task in hand is put off as a task of its own. Links from its start hold
    already; where others wait for a time after it, that cannot be said of what is left.
    """
    task = next(one for one in inputs.tasks if one.id == pk)
    links = inputs.links
    if task.started is not None:
        counted = [link for link in links if link.before == pk and link.kind in _FROM_START]
        if any(link.lag for link in counted):
            return None
        links = [link for link in links if link not in counted]
        task = replace(task, started=None, minutes=task.work, left=None)
    task = replace(task, not_before=max(until, task.not_before or until))
    tasks = [task if one.id == pk else one for one in inputs.tasks]
    needs = dict(inputs.needs)
    needs[pk] = replace(needs[pk], pin=None)
    return replace(inputs, tasks=tasks, links=links, needs=needs)
