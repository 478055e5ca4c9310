"""The plan, drawn: as bars on a dated rule, and as a network."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from buildlog.desk.network_values import boxes_of
from buildlog.desk.plan_values import hours_by_week, stage_bars
from buildlog.desk.plan_window import (
    MOST_BOXES,
    MOST_BOXES_ASKED,
    SPANS,
    Window,
    address,
    open_stages,
    window_of,
)
from buildlog.drawing import Drawing
from buildlog.drawing.plan_bars import StageBars, in_pages, plan_bars, usual_hours
from buildlog.drawing.plan_network import plan_network
from tasks.access import in_build
from tasks.models import Build
from tasks.plan import Plan, State, plan_of
from tasks.words import launch_words, what_sets

LEAST_WIDTH, MOST_WIDTH = 880, 3200
LEAST_PER_DAY = 0.6
#: A landscape A4 sheet: its width in pixels, the names on it, and the rows it holds.
PAPER_WIDTH, PAPER_NAMES, PAPER_ROWS = 1030, 250, 20


@dataclass(frozen=True, slots=True)
class NamedStage:
    """A stage of the drawing with the address that folds or unfolds it."""

    drawn: StageBars
    href: str
    done: int


@require_safe
@in_build("look")
def plan(request: HttpRequest, build: Build) -> HttpResponse:
    planned = plan_of(build)
    context: dict[str, Any] = {"build": build, "sheet": "Plan", "plan": planned}
    if planned.tasks:
        window = window_of(request.GET, planned)
        opened = open_stages(request.GET, planned)
        if request.GET.get("paper") == "yes":
            context["drawings"] = _on_paper(build, planned, window, opened)
            return render(request, "desk/plan-paper.html", context)
        context |= _drawn(build, planned, window, opened)
    return render(request, "desk/plan.html", context)


def _on_paper(build: Build, planned: Plan, window: Window, opened: set[int]) -> list[Drawing]:
    """The same bars with their names in the drawing, in pieces that each fill a page."""
    stages = stage_bars(planned.by_stage(), opened, reverse("task", args=[build.slug, 0]))
    weeks = hours_by_week(build, planned, window.first, window.last)
    pages = in_pages(stages, PAPER_ROWS)
    return [
        plan_bars(
            page, window.first, window.last, planned.now,
            weeks=weeks if page is pages[-1] else (),
            width=PAPER_WIDTH, names=PAPER_NAMES, key=f"page-{number}",
        )
        for number, page in enumerate(pages, 1)
    ]  # fmt: skip


def _drawn(build: Build, planned: Plan, window: Window, opened: set[int]) -> dict[str, Any]:
    groups = [(stage, tasks) for stage, tasks in planned.by_stage() if tasks]
    stages = stage_bars(groups, opened, reverse("task", args=[build.slug, 0]))
    weeks = hours_by_week(build, planned, window.first, window.last)
    days = (window.last - window.first).days
    chart = plan_bars(
        stages,
        window.first,
        window.last,
        planned.now,
        weeks,
        width=min(max(LEAST_WIDTH, days * LEAST_PER_DAY), MOST_WIDTH),
        desc=_in_words(planned, len(groups), window),
    )
    named = [
        NamedStage(drawn, address(window, opened ^ {stage.pk}), sum(b.done for b in drawn.bars))
        for (stage, _), drawn in zip(groups, stages, strict=True)
    ]
    return {
        "chart": chart,
        "stages": named,
        "window": window,
        "usual_hours": usual_hours(weeks),
        "spans": [
            (words, address(Window(key, None, window.first, window.last), opened), key)
            for key, words in SPANS.items()
        ],
        "earlier": address(window, opened, **{"from": window.moved(-1).isoformat()}),
        "later": address(window, opened, **{"from": window.moved(1).isoformat()}),
        "on_paper": address(window, opened, paper="yes"),
        "unfold_all": address(window, "all"),
        "fold_all": address(window, set()),
        "all_open": len(opened) == len(groups),
        "all_folded": not opened,
        "steps": what_sets(planned),
        "launch_words": launch_words(planned),
    }


def _in_words(planned: Plan, stages: int, window: Window) -> str:
    heavy = sum(one.critical for one in planned.tasks.values())
    return (
        f"{len(planned.tasks)} tasks in {stages} stages, drawn from {window.first:%-d %B %Y} to "
        f"{window.last:%-d %B %Y}. {heavy} of them have no float. "
        "The list of tasks says the same in words."
    )


@require_safe
@in_build("look")
def network(request: HttpRequest, build: Build) -> HttpResponse:
    planned = plan_of(build)
    context: dict[str, Any] = {"build": build, "sheet": "Network", "plan": planned}
    with_done = request.GET.get("done") == "yes"
    opened = open_stages(request.GET, planned, MOST_BOXES, MOST_BOXES_ASKED)
    if planned.tasks:
        context |= _network_drawn(build, planned, opened, with_done)
    return render(request, "desk/network.html", context)


def _network_drawn(
    build: Build, planned: Plan, opened: set[int], with_done: bool
) -> dict[str, Any]:
    def at(stages: set[int] | str, done: bool) -> str:
        opening = stages if isinstance(stages, str) else "-".join(map(str, sorted(stages)))
        return "?" + urlencode({"open": opening} | ({"done": "yes"} if done else {}))

    groups = [
        (stage, tasks)
        for stage, tasks in planned.by_stage()
        if any(with_done or one.figures.state != State.DONE for one in tasks)
    ]
    boxes, arrows = boxes_of(
        planned,
        opened,
        reverse("task", args=[build.slug, 0]),
        {stage.pk: at(opened | {stage.pk}, with_done) for stage, _ in groups},
        with_done=with_done,
    )
    drawn = f"{len(boxes)} boxes and {len(arrows)} links, drawn from left to right. "
    return {
        "chart": plan_network(
            boxes, arrows, planned.now, desc=f"{drawn}The list of tasks says the same in words."
        )
        if boxes
        else None,
        "folds": [
            (stage.name, stage.pk in opened, at(opened ^ {stage.pk}, with_done))
            for stage, _ in groups
        ],
        "with_done": with_done,
        "other_done": at(opened, not with_done),
        "unfold_all": at("all", with_done),
        "fold_all": at(set(), with_done),
    }
