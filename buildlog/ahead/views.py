"""The launch sheet: the date that the hands can keep, the order of work, and what holds it."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from buildlog.ahead.forecast_words import carriers_of, chance_words, history_words, spread_drawn
from buildlog.ahead.forms import MOMENT_FORMAT, PinForm, TurnForm
from buildlog.ahead.looking import ask_to_look
from buildlog.ahead.moves_views import moves_on_the_sheet
from buildlog.ahead.order_words import lines_of, shift_words, shifts_of, troubles_of
from buildlog.ahead.what_if import cost_of_pin, cost_of_turn
from tasks import changes
from tasks.access import CrewRequest, in_build
from tasks.forecasting import kept_forecast
from tasks.models import Build, Task
from tasks.order import Order, kept_order, leave_offer, offer_of, order_of, take_offer
from tasks.order_room import first_minute_on
from tasks.plan import Plan, plan_of
from tasks.plan_figures import minute_of
from tasks.undoing import kept, undo_tag
from tasks.views.answers import answer_form, back_to, own_address
from tasks.views.tasks import GET_OR_POST, own_task

SHOWN = 20
NO_HANDS = "On that day there are no hours with enough hands for it. Choose a time to come."


def fresh_order(plan: Plan) -> Order | None:
    """The order of work; where it had to be reckoned anew, the worker is asked to better it."""
    kept = kept_order(plan.build)
    order = order_of(plan)
    if order is not None and (kept is None or kept.figures != order.figures):
        with transaction.atomic():
            ask_to_look(plan.build)
    return order


@require_safe
@in_build("look")
def launch(request: CrewRequest, build: Build) -> HttpResponse:
    plan = plan_of(build)
    order = fresh_order(plan)
    context: dict[str, Any] = {"build": build, "sheet": "Launch", "plan": plan, "order": order}
    if order is not None:
        offer = offer_of(build, order)
        everything = request.GET.get("all") == "yes"
        context |= {
            "lines": lines_of(plan, order, None if everything else SHOWN),
            "hidden": 0 if everything else max(len(order.order) - SHOWN, 0),
            "troubles": troubles_of(plan, order),
            "offer": offer,
            "shifts": shifts_of(plan, offer.moved) if offer else [],
            **_forecast(request, plan, order),
            "fixed": [
                one.task
                for one in sorted(plan.tasks.values(), key=lambda one: one.task.turn or 0)
                if one.task.turn is not None and one.task.finished_at is None
            ],
        }
        context |= moves_on_the_sheet(plan, request.GET.get("moves") == "all")
    return render(request, "ahead/launch.html", context)


def _forecast(request: HttpRequest, plan: Plan, order: Order) -> dict[str, Any]:
    """The forecast as last reckoned, and the chance for the day that was asked about."""
    outlook = kept_forecast(plan.build)
    if outlook is None:
        return {"forecast": None}
    context: dict[str, Any] = {
        "forecast": outlook,
        "drawn": spread_drawn(outlook, order),
        "carriers": carriers_of(plan, outlook),
        "history": history_words(outlook),
        "wish": outlook.p50.date(),
        **{f"shared_{name}": round(100 * part) for name, part in outlook.shared.items()},
    }
    asked = request.GET.get("wish", "")
    if asked:
        try:
            wish = dt.date.fromisoformat(asked)
            end = dt.datetime.combine(wish, dt.time(23, 59), plan.zone)
        except (ValueError, OverflowError):
            return context | {"wish_problem": "That is no date. Choose one, or write 2028-05-31."}
        context |= {"wish": wish, "chance": chance_words(outlook.chance_by(end))}
    return context


@require_safe
@in_build("look")
def launch_date(request: HttpRequest, build: Build) -> HttpResponse:
    """The date alone, for a page that was shown before it was reckoned."""
    plan = plan_of(build)
    return render(
        request,
        "ahead/_date.html",
        {"build": build, "plan": plan, "order": fresh_order(plan), "asked": True},
    )


@require_POST
@in_build("plan")
def answer_offer(request: CrewRequest, build: Build) -> HttpResponse:
    if request.POST.get("answer") == "take":
        if take_offer(build):
            messages.success(request, "The better order is in place.")
        else:
            messages.info(request, "The plan has changed since: there is nothing to take.")
    else:
        leave_offer(build)
        messages.success(request, "The order stays as it was.")
    return redirect("launch", build.slug)


@GET_OR_POST
@in_build("plan")
def place(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    """Where a task stands in the order of work. A change says what it costs before it is made."""
    task = own_task(build, pk)
    plan = plan_of(build)
    order = fresh_order(plan)
    placed = order.places.get(pk) if order else None
    sent = request.POST.get("what", "")
    pin_form = PinForm(
        _on_a_day(request.POST, plan, task) if sent == "pin" else None,
        now=plan.now,
        initial={"at": task.pinned_at or (placed.start if placed else None)},
    )
    if request.POST.get("day"):
        pin_form.fields["at"].error_messages["required"] = NO_HANDS
    turn_form = TurnForm(request.POST if sent == "turn" else None, task=task)
    form = turn_form if sent == "turn" else pin_form
    context = {
        "sheet": "Its place", "task": task, "plan": plan, "order": order, "placed": placed,
        "pin_form": pin_form, "turn_form": turn_form, "sent": sent,
        "back": own_address(request, "back"),
    }  # fmt: skip
    if task.started_at is None and task.finished_at is None and form.is_bound and form.is_valid():
        cost = _cost(plan, task, form)
        if cost is None and order is not None:
            form.add_error(None, "That cannot be: these tasks would wait for each other in a ring.")
        elif "sure" in request.POST:
            return _put(request, build, task, form)
        else:
            context |= {"asked": True, "cost": cost}
            return render(request, "ahead/place.html", {"build": build, "form": form} | context)
    return answer_form(request, build, "ahead/place.html", form, **context)


def _cost(plan: Plan, task: Task, form: PinForm | TurnForm) -> dict[str, Any] | None:
    if isinstance(form, PinForm):
        cost = cost_of_pin(plan, task.pk, minute_of(form.cleaned_data["at"]))
    else:
        cost = cost_of_turn(plan, task.pk, form.cleaned_data["after"].pk)
    if cost is None:
        return None
    return {
        "now": plan.moment(cost.now),
        "then": plan.moment(cost.then),
        "words": shift_words(cost.minutes),
    }


def _on_a_day(sent: QueryDict, plan: Plan, task: Task) -> QueryDict:
    """What was sent, a bare day in it taken for the first hour at which there are the hands."""
    text = sent.get("day", "")
    if not text or sent.get("at"):
        return sent
    try:
        at = first_minute_on(plan, task.hands, dt.date.fromisoformat(text))
    except (ValueError, OverflowError):
        at = None
    filled = sent.copy()
    filled["at"] = f"{at:{MOMENT_FORMAT}}" if at else ""
    return filled


def _put(request: CrewRequest, build: Build, task: Task, form: PinForm | TurnForm) -> HttpResponse:
    if isinstance(form, PinForm):
        before = kept(task, ["pinned_at"])
        changes.pin(task, form.cleaned_data["at"])
        task.refresh_from_db(fields=["pinned_at"])
        undo = undo_tag(task, before, kept(task, ["pinned_at"]), "plan")
        messages.success(request, f"{task} is pinned to its time.", extra_tags=undo)
    else:
        changes.fix_turn(task, form.cleaned_data["after"])
        messages.success(request, f"{task} comes after {form.cleaned_data['after']} from now on.")
    return redirect(back_to(request, "launch", build.slug))


@require_POST
@in_build("plan")
def let_go(request: CrewRequest, build: Build, pk: int) -> HttpResponse:
    """Take the pin or the fixed turn off a task."""
    task = own_task(build, pk)
    if request.POST.get("what") == "turn":
        changes.free_turn(task)
        messages.success(request, f"{task} is free of the fixed order.")
    else:
        before = kept(task, ["pinned_at"])
        changes.pin(task, None)
        undo = undo_tag(task, before, {"pinned_at": None}, "plan")
        messages.success(request, f"{task} is no longer pinned.", extra_tags=undo)
    return redirect(back_to(request, "launch", build.slug))
