"""The plan as bars on a dated rule, or as rows that say the same."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from buildlog.ahead.views import fresh_order
from buildlog.desk.plan_timing import Dates, Timing
from buildlog.desk.plan_values import hours_by_week, stage_bars
from buildlog.desk.plan_window import SPANS, Window, address, open_stages, window_of
from buildlog.drawing.plan_bars import Band, StageBars, plan_bars, usual_hours
from tasks.access import CrewRequest, in_build
from tasks.baselines import baseline_of
from tasks.forecasting import kept_forecast
from tasks.models import Build, Stage
from tasks.order import kept_order
from tasks.order_room import hands_levels, room_in
from tasks.plan import Plan, TaskPlan, plan_of
from tasks.words import launch_words, what_sets

LEAST_WIDTH, MOST_WIDTH = 880, 3200
LEAST_PER_DAY = 0.6

Groups = Sequence[tuple[Stage, list[TaskPlan]]]


@dataclass(frozen=True, slots=True)
class NamedStage:
    """A stage of the drawing with the address that folds or unfolds it."""

    drawn: StageBars
    href: str
    done: int


@dataclass(frozen=True, slots=True)
class Row:
    """A bar as a row of a table."""

    planned: TaskPlan
    dates: Dates
    pinned: bool
    earlier: tuple[dt.datetime, dt.datetime] | None


@require_safe
@in_build("look")
def plan(request: CrewRequest, build: Build) -> HttpResponse:
    """Drawn at once from the order that is kept; a newer one is sent for when it has aged."""
    planned = plan_of(build)
    context: dict[str, Any] = {"build": build, "sheet": "Plan", "plan": planned}
    if planned.tasks:
        endless = request.GET.get("hands") == "endless" or planned.launch is None
        fresh = request.GET.get("fresh") == "yes"
        timing = timing_of(planned, endless=endless, fresh=fresh)
        window = window_of(request.GET, planned, timing.last_day)
        opened = open_stages(request.GET, planned)
        context |= {"timing": timing, "endless": endless, "window": window}
        context |= _drawn(build, timing, window, opened)
        if not endless and not fresh and (timing.order is None or not timing.is_current):
            context["fresh"] = address(window, opened, fresh="yes")
        if request.htmx:
            return render(request, "desk/_plan-drawn.html", context)
        context |= {"steps": what_sets(planned), "launch_words": launch_words(planned)}
    return render(request, "desk/plan.html", context)


def timing_of(planned: Plan, *, endless: bool = False, fresh: bool = False) -> Timing:
    """When the tasks are worked on; `fresh` reckons the order of work anew where it has aged."""
    build = planned.build
    order = None
    if not endless:
        order = fresh_order(planned) if fresh else kept_order(build)
    baseline = None if endless else baseline_of(build)
    ends = [place.cured for place in order.places.values()] if order else []
    last = max([planned.now, *ends, *([planned.launch] if planned.launch else [])])
    return Timing(
        planned,
        order,
        rooms=room_in(planned, order) if order else {},
        levels=hands_levels(planned, last),
        earlier=baseline.dates if baseline else {},
        band=band_of(planned) if order else None,
    )


def band_of(planned: Plan) -> Band | None:
    """When the launch may well fall, as last forecast."""
    outlook = kept_forecast(planned.build)
    if outlook is None or planned.launch is None:
        return None
    return Band(outlook.p10.date(), outlook.p90.date(), outlook.p50.date())


def _drawn(build: Build, timing: Timing, window: Window, opened: set[int]) -> dict[str, Any]:
    planned = timing.plan
    groups: Groups = [(stage, tasks) for stage, tasks in planned.by_stage() if tasks]
    chosen = {
        "spans": [
            (words, address(replace(window, span=key, start=None), opened), key)
            for key, words in SPANS.items()
        ],
        "earlier": address(window, opened, **{"from": window.moved(-1).isoformat()}),
        "later": address(window, opened, **{"from": window.moved(1).isoformat()}),
        "pdf": reverse("plan-pdf", args=[build.slug]) + address(window, opened),
        "unfold_all": address(window, "all"),
        "fold_all": address(window, set()),
        "all_open": len(opened) == len(groups),
        "all_folded": not opened,
        "with_hands": address(replace(window, endless=False), opened),
        "with_endless": address(replace(window, endless=True), opened),
        "as_table": address(replace(window, table=True), opened),
        "as_bars": address(replace(window, table=False), opened),
    }
    if window.table:
        return chosen | {"rows": _rows(timing, groups), "compared": bool(timing.earlier)}
    return chosen | _chart(build, timing, window, opened, groups)


def _chart(
    build: Build, timing: Timing, window: Window, opened: set[int], groups: Groups
) -> dict[str, Any]:
    stages = stage_bars(timing, groups, opened, reverse("task", args=[build.slug, 0]))
    weeks = hours_by_week(build, timing, window.first, window.last)
    named = [
        NamedStage(drawn, address(window, opened ^ {stage.pk}), sum(b.done for b in drawn.bars))
        for (stage, _), drawn in zip(groups, stages, strict=True)
    ]
    days = (window.last - window.first).days
    chart = plan_bars(
        [replace(drawn, href=one.href) for drawn, one in zip(stages, named, strict=True)],
        window.first,
        window.last,
        timing.plan.now,
        weeks,
        width=min(max(LEAST_WIDTH, days * LEAST_PER_DAY), MOST_WIDTH),
        desc=_in_words(timing, len(groups), window),
        launch=timing.launch,
        band=timing.band,
    )
    return {
        "chart": chart,
        "stages": named,
        "usual_hours": usual_hours(weeks),
        "any_earlier": bool(timing.earlier),
        "any_band": timing.band is not None,
        "any_pinned": any(bar.pinned for one in stages if one.open for bar in one.bars),
    }


def _rows(timing: Timing, groups: Groups) -> list[tuple[Stage, list[Row]]]:
    return [
        (
            stage,
            [
                Row(one, timing.of(one), timing.is_pinned(one), timing.earlier.get(one.pk))
                for one in tasks
            ],
        )
        for stage, tasks in groups
    ]


def _in_words(timing: Timing, stages: int, window: Window) -> str:
    tasks = timing.plan.tasks.values()
    heavy = sum(timing.of(one).critical for one in tasks)
    how = "the order that the hands allow" if timing.order else "dates as if hands were endless"
    return (
        f"{len(tasks)} tasks in {stages} stages in {how}, drawn from {window.first:%-d %B %Y} to "
        f"{window.last:%-d %B %Y}. {heavy} of them critical. The same can be read as a table."
    )
