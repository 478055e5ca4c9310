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
from buildlog.drawing import Drawing
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


def drawing_of(build: Build, planned: Plan, opened: set[int], with_done: bool) -> Drawing | None:
    """The network with these stages unfolded; None where all of it is done."""
    boxes, arrows = boxes_of(
        planned,
        opened,
        reverse("task", args=[build.slug, 0]),
        {stage.pk: address(opened | {stage.pk}, with_done) for stage in planned.stages},
        with_done=with_done,
    )
    if not boxes:
        return None
    drawn = f"{len(boxes)} boxes and {len(arrows)} links, drawn from left to right. "
    return plan_network(boxes, arrows, planned.now, desc=f"{drawn}The same can be read as a table.")


def address(stages: set[int] | str, with_done: bool) -> str:
    """The query string that leads to a view of the network."""
    opening = stages if isinstance(stages, str) else "-".join(map(str, sorted(stages)))
    return "?" + urlencode({"open": opening} | ({"done": "yes"} if with_done else {}))


def _network_drawn(
    build: Build, planned: Plan, opened: set[int], with_done: bool
) -> dict[str, Any]:
    shown = [
        stage
        for stage, tasks in planned.by_stage()
        if any(with_done or one.figures.state != State.DONE for one in tasks)
    ]
    return {
        "chart": drawing_of(build, planned, opened, with_done),
        "folds": [
            (stage.name, stage.pk in opened, address(opened ^ {stage.pk}, with_done))
            for stage in shown
        ],
        "with_done": with_done,
        "other_done": address(opened, not with_done),
        "unfold_all": address("all", with_done),
        "fold_all": address(set(), with_done),
        "pdf": reverse("network-pdf", args=[build.slug]) + address(opened, with_done),
    }
