"""The forecast of a build: the one bridge between its rows and `tasks.network.forecast`.

It is reckoned by the worker and kept as a row, so that no page has to wait for it.
"""

from __future__ import annotations

import datetime as dt
from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from tasks.models import Answer, AnswerKind, Build
from tasks.network import NoAnswer
from tasks.network import forecast as core
from tasks.order import order_of, plan_from
from tasks.order_values import inputs_of, problem_of
from tasks.outlook import done_tasks, left_of, worked_weeks
from tasks.plan import plan_of

__all__ = ["Outlook", "Share", "Sort", "kept_forecast", "reckon_forecast"]

RUNS = 10_000
SEED = 1
#: Quantiles of the launch that are kept: every half per cent.
STEPS = 200
MOST_SHARES = 8


@dataclass(frozen=True, slots=True)
class Share:
    """A task, how often it is on the chain that sets the launch, and its part of the spread."""

    task: int
    on_chain: float
    spread: float


@dataclass(frozen=True, slots=True)
class Sort:
    """How many times its guess a sort of work takes: the middle, P10, P90; and of how many jobs."""

    kind: str
    factor: float
    low: float
    high: float
    jobs: int


@dataclass(frozen=True)
class Outlook:
    """A forecast as kept. `quantiles` are the launches at 0, 0.5 … 100 per cent."""

    made_at: dt.datetime
    plan_version: int
    runs: int
    quantiles: list[dt.datetime]
    weeks: list[tuple[dt.datetime, int]]
    shares: list[Share]
    shared: Mapping[str, float]
    overall: Sort
    sorts: list[Sort]
    pace: float
    pace_weeks: int
    on_chain: Mapping[int, float]

    def at(self, part: float) -> dt.datetime:
        """The moment by which that part of the runs has launched."""
        return self.quantiles[round(part * STEPS)]

    @property
    def p10(self) -> dt.datetime:
        return self.at(0.1)

    @property
    def p50(self) -> dt.datetime:
        return self.at(0.5)

    @property
    def p90(self) -> dt.datetime:
        return self.at(0.9)

    def chance_by(self, moment: dt.datetime) -> float:
        """The part of the runs that has launched by a moment, to half a per cent."""
        if moment < self.quantiles[0]:
            return 0.0
        return min(bisect_right(self.quantiles, moment) - 1, STEPS) / STEPS


def kept_forecast(build: Build) -> Outlook | None:
    """The forecast as last reckoned, however old. One query."""
    answer = Answer.objects.filter(build=build, kind=AnswerKind.FORECAST).first()
    return None if answer is None else _outlook(answer, build)


def reckon_forecast(build: Build, runs: int = RUNS) -> Outlook | None:
    """Reckon the forecast of the order that stands, and keep it unless the plan has changed."""
    plan = plan_of(build)
    order = order_of(plan)
    if order is None:
        Answer.objects.filter(build=build, kind=AnswerKind.FORECAST).delete()
        return None
    plan = plan_of(build, order.made_at)  # the moment that the order was reckoned at
    correction = core.learn(
        [
            core.Done(one.kind, one.low, one.likely, one.high, one.actual)
            for one in done_tasks(plan)
        ],
        [core.Week(one.pattern, one.worked) for one in worked_weeks(build, plan)],
    )
    try:
        found = core.forecast(
            problem_of(inputs_of(plan)),
            plan_from(order.figures),
            left_of(plan),
            kinds={pk: planned.task.sort_of_work for pk, planned in plan.tasks.items()},
            runs=runs,
            seed=SEED,
            correction=correction,
        )
    except NoAnswer:
        return None
    figures = _figures(found, correction)
    with transaction.atomic():
        fresh = Build.objects.select_for_update().get(pk=build.pk)
        if fresh.plan_version != plan.version:
            return None
        kept, _ = Answer.objects.update_or_create(
            build=build,
            kind=AnswerKind.FORECAST,
            defaults={
                "plan_version": plan.version,
                "made_at": plan.now,
                "figures": figures,
            },
        )
    return _outlook(kept, build)


def _figures(found: core.Forecast, correction: core.Correction) -> dict[str, Any]:
    return {
        "runs": found.runs,
        "quantiles": [found.quantile(step / STEPS) for step in range(STEPS + 1)],
        "weeks": found.histogram(_bar_width(found)),
        "shares": [[pk, one.on_chain, one.spread] for pk, one in found.drivers(MOST_SHARES)],
        "shared": dict(found.shared),
        "overall": _sort("", correction.overall),
        "sorts": [_sort(kind, factor) for kind, factor in correction.kinds.items()],
        "pace": [correction.pace.share, correction.pace.weeks],
        "on_chain": {str(pk): round(one.on_chain, 3) for pk, one in found.tasks.items()},
    }


def _bar_width(found: core.Forecast) -> int:
    """Weeks a bar of the drawing, so that there are some thirty."""
    spread = found.quantile(0.99) - found.quantile(0.01)
    return max(round(spread / (7 * 1440) / 30), 1)


def _sort(kind: str, factor: core.Factor) -> list[Any]:
    return [kind, factor.factor, factor.low, factor.high, factor.jobs]


def _outlook(answer: Answer, build: Build) -> Outlook:
    zone, figures = build.zone, answer.figures

    def moment(minute: int) -> dt.datetime:
        return dt.datetime.fromtimestamp(minute * 60, zone)

    pace, weeks = figures["pace"]
    return Outlook(
        made_at=answer.made_at.astimezone(zone),
        plan_version=answer.plan_version,
        runs=figures["runs"],
        quantiles=[moment(minute) for minute in figures["quantiles"]],
        weeks=[(moment(minute), runs) for minute, runs in figures["weeks"]],
        shares=[Share(*share) for share in figures["shares"]],
        shared=figures["shared"],
        overall=Sort(*figures["overall"]),
        sorts=[Sort(*sort) for sort in figures["sorts"]],
        pace=pace,
        pace_weeks=weeks,
        on_chain={int(pk): share for pk, share in figures["on_chain"].items()},
    )
