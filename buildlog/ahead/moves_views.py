"""What would move the launch: on the Launch sheet, and one change tried on a sheet of its own."""

from __future__ import annotations

import secrets
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from buildlog.ahead.looking import LOOK_AHEAD, ask_to_look
from buildlog.ahead.models import Taken
from buildlog.ahead.moves_forms import FORMS, MoveForm
from buildlog.ahead.moves_kept import kept_moves, move_at_once
from buildlog.ahead.moves_words import Line, line_of
from buildlog.ahead.taking import take, undo
from buildlog.background.jobs import Job
from tasks.access import CrewRequest, in_build
from tasks.changes import Refused
from tasks.models import Build
from tasks.plan import Plan, plan_of

__all__ = ["moves_on_the_sheet", "take_move", "try_move", "undo_move"]

#: How many of a sort stand on the sheet before the rest is asked for.
MOST_OF_A_SORT = 3
MOST_TAKEN = 6


def moves_on_the_sheet(plan: Plan, everything: bool) -> dict[str, Any]:
    """What the Launch sheet shows of it; the worker is asked where what is kept has aged."""
    kept = kept_moves(plan)
    taken = list(Taken.objects.filter(build=plan.build, undone_at=None)[:MOST_TAKEN])
    if kept is None or not kept.dates_hold or not kept.costs_hold:
        _ask_once(plan.build)
    if kept is None or not kept.dates_hold:
        return {"taken": taken}
    winning = [line_of(plan, one) for one in kept.found if one.days > 0]
    shown = winning if everything else _some_of_each(winning)
    return {
        "moves": kept,
        "move_lines": shown,
        "moves_hidden": len(winning) - len(shown),
        "moves_idle": [line_of(plan, one) for one in kept.found if one.days <= 0],
        "taken": taken,
    }


def _ask_once(build: Build) -> None:
    """Ask the worker to look, unless it is about to."""
    asked = Job.objects.open().filter(kind=LOOK_AHEAD, build=build)
    if not asked.exists():
        with transaction.atomic():
            ask_to_look(build)


def _some_of_each(lines: list[Line]) -> list[Line]:
    shown: list[Line] = []
    of_sort: dict[str, int] = {}
    for line in lines:
        sort = line.moved.move.sort
        of_sort[sort] = of_sort.get(sort, 0) + 1
        if of_sort[sort] <= MOST_OF_A_SORT:
            shown.append(line)
    return shown


def _forms(plan: Plan, sent: QueryDict | None, sort: str) -> tuple[list[MoveForm], MoveForm | None]:
    """All forms, what was sent in the one that it is for; and that one, if any."""
    forms = [
        kind(sent if name == sort else None, plan=plan, prefix=name, auto_id=f"{name}_%s")
        for name, kind in FORMS.items()
    ]
    return forms, next((form for form in forms if form.is_bound), None)


@require_safe
@in_build("look")
def try_move(request: CrewRequest, build: Build) -> HttpResponse:
    """The forms for a change of one's own, and what the one that was sent would do."""
    plan = plan_of(build)
    sort = request.GET.get("sort", "")
    forms, form = _forms(plan, request.GET if len(request.GET) > 1 else None, sort)
    context: dict[str, Any] = {
        "build": build, "sheet": "Launch", "plan": plan, "forms": forms, "asked": sort,
    }  # fmt: skip
    if form is None:
        return render(request, "ahead/try_move.html", context)
    if not form.is_valid():
        return render(request, "ahead/try_move.html", context | {"form": form}, status=422)
    moved = move_at_once(plan, form.move())
    context |= {
        "form": form,
        "line": line_of(plan, moved) if moved else None,
        "no_launch": moved is None,
        "sent": [(name, request.GET[name]) for name in form.fields if name in request.GET],
        "key": secrets.token_urlsafe(12),
    }
    return render(request, "ahead/try_move.html", context)


@require_POST
@in_build("plan")
def take_move(request: CrewRequest, build: Build) -> HttpResponse:
    plan = plan_of(build)
    forms, form = _forms(plan, request.POST, request.POST.get("sort", ""))
    if form is None or not form.is_valid():
        twin = Taken.objects.filter(build=build, key=request.POST.get("key") or "-").first()
        if twin:  # a second click: it fits no more because it is in place
            return redirect("launch", build.slug)
        context = {"build": build, "sheet": "Launch", "plan": plan, "forms": forms, "form": form,
                   "asked": request.POST.get("sort", "")}  # fmt: skip
        return render(request, "ahead/try_move.html", context, status=422)
    try:
        taken, new = take(build, form.move(), request.user, request.POST.get("key", "")[:64])
    except Refused as refusal:
        messages.error(request, refusal.message)
        return redirect("launch", build.slug)
    if new:
        messages.success(
            request,
            f"{taken.says}: it is in the plan now. To undo it, see “Taken so far” on this sheet.",
        )
    return redirect("launch", build.slug)


@require_POST
@in_build("plan")
def undo_move(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    taken = get_object_or_404(Taken, build=build, pk=pk)
    try:
        if undo(taken):
            messages.success(request, f"Undone: {taken.says}. The plan is as it was before.")
        else:
            messages.info(request, "That was undone before.")
    except Refused as refusal:
        messages.error(request, refusal.message)
    return redirect("launch", build.slug)
