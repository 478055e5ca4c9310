"""From rows to the values of a plan with limited hands."""

from __future__ import annotations

from tasks.models import Build, Doing, HeatedDays, HelpDay, TaskThing, Thing, WorkLimit
from tasks.network.inputs import Help, Inputs, Limit, TaskNeed, problem_of
from tasks.plan import Plan
from tasks.plan_figures import minute_of

__all__ = ["Help", "Inputs", "Limit", "TaskNeed", "inputs_of", "problem_of"]


def inputs_of(plan: Plan) -> Inputs:
    """Read what there is to work with: five queries beside the plan's."""
    build = plan.build
    tasks, links = plan.network_values()
    held: dict[int, dict[int, int]] = {}
    for holder, thing, count in TaskThing.objects.filter(build=build).values_list(
        "task_id", "thing_id", "count"
    ):
        held.setdefault(holder, {})[thing] = count
    needs = {}
    for planned in plan.tasks.values():
        task = planned.task
        if task.doing != Doing.OWN:  # none of our hands, things or hours
            needs[task.pk] = TaskNeed()
            continue
        needs[task.pk] = TaskNeed(
            hands=task.hands,
            things=held.get(task.pk, {}),
            limit=task.limit_id,
            pin=minute_of(task.pinned_at) if task.pinned_at else None,
            turn=task.turn,
        )
    return Inputs(
        tasks=tasks,
        links=links,
        now=minute_of(plan.now),
        zone=plan.zone,
        first_day=plan.first_day,
        week=plan.week,
        days_off=plan.days_off,
        hands=build.hands,
        help=_help(build),
        things=dict(Thing.objects.filter(build=build).values_list("pk", "count")),
        limits=_limits(build),
        needs=needs,
        heated=list(HeatedDays.objects.filter(build=build).values_list("first", "last")),
    )


def _help(build: Build) -> list[Help]:
    rows = HelpDay.objects.filter(build=build).values_list(
        "hands", "weekday", "first", "last", "start_minute", "end_minute"
    )
    helps = []
    for count, weekday, first, last, start, end in rows:
        # Without a day of the week the last day may be left out: then it is one day.
        last = last or (first if weekday is None else None)
        helps.append(Help(count, weekday, first, last, start, end))
    return helps


def _limits(build: Build) -> dict[int, Limit]:
    limits = {}
    for row in WorkLimit.objects.filter(build=build):
        first = last = None
        if row.first_month and row.first_day and row.last_month and row.last_day:
            first, last = (row.first_month, row.first_day), (row.last_month, row.last_day)
        limits[row.pk] = Limit(row.start_minute, row.end_minute, first, last, row.lifted_by_id)
    return limits
