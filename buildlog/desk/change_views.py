"""Changing the plan where it is drawn, and taking a change back."""

from __future__ import annotations

import datetime as dt

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from buildlog.desk.plan_timing import Timing
from tasks.access import CrewRequest, in_build
from tasks.forms import TaskForm
from tasks.hours import show_hours
from tasks.models import Build, Task
from tasks.order import kept_order
from tasks.order_room import minutes_with_hands
from tasks.plan import plan_of
from tasks.plan_figures import minute_of
from tasks.undoing import CannotUndo, kept, take_back, undo_tag
from tasks.views.answers import alone_to_post, back_to
from tasks.views.tasks import own_task

__all__ = ["reach", "undo_change"]

HOURS = ("low_minutes", "likely_minutes", "high_minutes")


@require_POST
@in_build("plan")
def reach(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    """Have a task take the hours that there are for it till the end of a day.

    The likely hours change, the low and the high ones only where they would not stand around it.
    """
    with alone_to_post(request, build) as build:
        task = own_task(build, pk)
        before = kept(task, HOURS)
        told = _new_hours(build, task, request.POST.get("until", ""))
        if isinstance(told, str):
            messages.error(request, told)
            return redirect(back_to(request, "plan", build.slug))
        was, form = task.likely_minutes, _form_with(build, task, told)
        if form.is_valid():
            task = form.save()
            undo = undo_tag(task, before, kept(task, HOURS), "plan")
            words = f"{task} takes {show_hours(told)} now, instead of {show_hours(was)}."
            messages.success(request, words, extra_tags=undo)
        else:
            why = " ".join(str(one) for errors in form.errors.values() for one in errors)
            messages.error(request, f"The hours of {task} were not changed: {why}")
    return redirect(back_to(request, "plan", build.slug))


def _new_hours(build: Build, task: Task, until: str) -> int | str:
    """The likely people-minutes that end on a day; in words what is in the way."""
    try:
        day = dt.date.fromisoformat(until)
        after = dt.datetime.combine(day + dt.timedelta(days=1), dt.time(), build.zone)
    except (ValueError, OverflowError):
        return f"{until[:40]!r} is no day."
    if task.finished_at:
        return f"{task} is finished: its hours are what was logged."
    if task.left_minutes is not None:
        return f"You said how much is left of {task}. Change that on its sheet."
    plan = plan_of(build)
    if after > plan.now + dt.timedelta(days=3 * 366):
        return "That is more than three years ahead."
    planned = plan.tasks[task.pk]
    dates = Timing(plan, kept_order(build) if plan.launch else None).of(planned)
    start = max(minute_of(dates.start), minute_of(plan.now))
    shop = minutes_with_hands(plan, task.hands, start, minute_of(after))
    if not shop:
        return f"{task} begins {dates.start:%-d %b %Y}: till then there are no hours for it."
    return shop * task.hands + planned.figures.logged


def _form_with(build: Build, task: Task, likely: int) -> TaskForm:
    """The form of a task as it would be sent with other hours."""
    as_read = TaskForm(build=build, instance=task)
    data = {}
    for bound in as_read:
        value = bound.value()
        if value is not None and value is not False and value != "":
            data[bound.html_name] = "on" if value is True else str(value)
    hours = (min(task.low_minutes, likely), likely, max(task.high_minutes, likely))
    data |= {name: show_hours(minutes) for name, minutes in zip(HOURS, hours, strict=True)}
    return TaskForm(data, build=build, instance=task)


@require_POST
@in_build("plan")
def undo_change(request: CrewRequest, build: Build, token: str) -> HttpResponse:
    try:
        words, page = take_back(build, token)
    except CannotUndo as refusal:
        messages.error(request, refusal.message)
        return redirect(back_to(request, "plan", build.slug))
    messages.success(request, words)
    return redirect(back_to(request, page, build.slug))
