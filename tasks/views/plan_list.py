"""The plan as a list: the twin, in words and numbers, of what the bars draw."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from tasks.access import CrewRequest, in_build
from tasks.models import Build
from tasks.paging import page_of
from tasks.plan import Plan, State, TaskPlan, plan_of
from tasks.words import float_words, launch_words

PER_PAGE = 60


@require_safe
@in_build("look")
def plan_list(request: CrewRequest, build: Build) -> HttpResponse:
    plan = plan_of(build)
    stage, state = request.GET.get("stage", ""), request.GET.get("state", "")
    words = " ".join(request.GET.get("words", "").split())
    found = _chosen(plan, stage, state, words)
    page = page_of(request, found, per=PER_PAGE)
    rows = [(planned, float_words(planned)) for planned in page]
    return render(
        request,
        "tasks/plan_list.html",
        {
            "build": build, "sheet": "List of tasks", "plan": plan, "page": page, "rows": rows,
            "states": list(State), "stage": stage, "state": state, "words": words,
            "launch_words": launch_words(plan), "filtered": bool(stage or state or words),
        },
    )  # fmt: skip


def _chosen(plan: Plan, stage: str, state: str, words: str) -> list[TaskPlan]:
    found = list(plan.tasks.values())
    if stage:
        found = [planned for planned in found if str(planned.stage_id) == stage]
    if state == "critical":
        found = [planned for planned in found if planned.critical and planned.left_minutes]
    elif state:
        found = [planned for planned in found if planned.figures.state == state]
    if words:
        found = [planned for planned in found if words.casefold() in str(planned.task).casefold()]
    return found
