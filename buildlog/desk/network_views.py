"""The plan as a network of date boxes."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from buildlog.desk.network_values import boxes_of
from buildlog.desk.plan_window import MOST_BOXES, MOST_BOXES_ASKED, open_stages
from buildlog.drawing.plan_network import plan_network
from tasks.access import SignedIn, in_build
from tasks.models import Build, Person, Stage
from tasks.plan import Plan, State, plan_of
from tasks.views.facts import Facts, facts_of
from tasks.words import float_words


@require_safe
@in_build("look")
def network(request: SignedIn, build: Build) -> HttpResponse:
    planned = plan_of(build)
    context: dict[str, Any] = {"build": build, "sheet": "Network", "plan": planned}
    with_done = request.GET.get("done") == "yes"
    opened = open_stages(request.GET, planned, MOST_BOXES, MOST_BOXES_ASKED)
    if request.GET.get("as") == "table":
        context |= {"table": True, "rows": table_of(planned, request.user)}
    elif planned.tasks:
        context |= _network_drawn(build, planned, opened, with_done)
    return render(request, "desk/network.html", context)


def table_of(planned: Plan, person: Person) -> list[tuple[Stage, list[tuple[Facts, str]]]]:
    """Every box as a row: by stage, its facts and its float in words."""
    return [
        (stage, [(facts_of(planned, one.pk, person), float_words(one)) for one in tasks])
        for stage, tasks in planned.by_stage()
        if tasks
    ]


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
            boxes, arrows, planned.now, desc=f"{drawn}The same can be read as a table."
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
