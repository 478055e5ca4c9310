"""The bridge to `network.health`: from the rows of a build to the checks of its plan.

Pages and the API ask `health_of`.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.db.models import Q, Sum

from tasks import network
from tasks.models import Baseline, Build, Doing, HelpDay, Link, Work
from tasks.network import health
from tasks.network.health import Check, Fault, Health
from tasks.plan import Plan, State
from tasks.plan_figures import minute_of

__all__ = ["PlanHealth", "health_of"]


@dataclass(frozen=True)
class PlanHealth:
    """The checks of a plan; `day` is the shop minutes of a usual day in the shed."""

    plan: Plan
    day: int
    baseline: Baseline | None
    checks: Health

    def link_of(self, fault: Fault) -> Link | None:
        return None if fault.link is None else self.plan.link_at(fault.link)

    def failing(self) -> list[Check]:
        return [one for one in self.checks.checks.values() if one.verdict == health.Verdict.FAILS]


def health_of(plan: Plan, baseline: Baseline | None = None) -> PlanHealth | None:
    """Check a plan, against a baseline where there is one.

    Two queries. None where the tasks cannot be planned at all; `plan.problems` says why.
    """
    tasks, links = plan.network_values()
    now = minute_of(plan.now)
    try:
        schedule = network.schedule(tasks, links, plan.calendar, now)
    except network.NetworkError:
        return None
    day = usual_day(plan)
    rows = {pk: one.task for pk, one in plan.tasks.items()}
    most = _most_hands(plan.build, plan.now.date())
    subject = health.Subject(
        tasks=tasks,
        links=links,
        plan=schedule,
        calendar=plan.calendar,
        day=day,
        pinned={pk for pk, row in rows.items() if row.pinned_at},
        resourced={pk for pk, row in rows.items() if row.doing != Doing.OWN or row.hands <= most},
        guessed={pk for pk, row in rows.items() if row.low_minutes < row.high_minutes},
        baseline=_promised(plan, baseline) if baseline else None,
        logged=_logged(plan.build),
        left_out={pk for pk, one in plan.tasks.items() if one.state == State.LEFT_OUT},
    )
    return PlanHealth(plan, day, baseline, health.health_of(subject))


def usual_day(plan: Plan) -> int:
    """Shop minutes of a working day: the mean of the days of the week that have any."""
    days = [sum(end - start for start, end in stretches) for stretches in plan.week.values()]
    days = [minutes for minutes in days if minutes]
    return max(round(sum(days) / len(days)), 1) if days else 1


def _most_hands(build: Build, today: dt.date) -> int:
    """More hands than these will never be there at once, whoever is booked."""
    coming = HelpDay.objects.filter(build=build).exclude(last__lt=today)
    booked = coming.exclude(weekday=None, last=None, first__lt=today)
    return build.hands + (booked.aggregate(hands=Sum("hands"))["hands"] or 0)


def _logged(build: Build) -> tuple[int, int]:
    """People-minutes logged for tasks, and all of them."""
    sums = Work.objects.filter(build=build).aggregate(
        whole=Sum("minutes", default=0),
        planned=Sum("minutes", filter=Q(task__isnull=False), default=0),
    )
    return sums["planned"], sums["whole"]


def _promised(plan: Plan, baseline: Baseline) -> health.Baseline:
    """What a baseline promised. What is finished on the day itself is in time.

    Its end is the launch with endless hands, for so are the dates that float is counted in.
    """

    def day_end(moment: dt.datetime) -> int:
        day = moment.astimezone(plan.zone).date() + dt.timedelta(days=1)
        return minute_of(dt.datetime.combine(day, dt.time(), plan.zone))

    return health.Baseline(
        finishes={pk: day_end(finish) for pk, (_start, finish) in baseline.dates.items()},
        end=day_end(baseline.launch_endless),
    )
