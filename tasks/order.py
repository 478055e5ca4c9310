"""The order of work: the plan that the hands there are can keep. Pages ask `order_of`.

A first answer is reckoned at once and kept as a row. The worker goes on looking; what it finds to
be better is kept beside it as an offer, which the builder takes or leaves. The next first answer
keeps to the order of the last one as far as that costs nothing much, so that a small change of
the plan does not turn the whole order upside down.
"""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from django.db import transaction

from tasks import network
from tasks.launch_records import keep_record
from tasks.models import Answer, AnswerKind, Build
from tasks.network import hands
from tasks.order_values import Inputs, inputs_of, problem_of
from tasks.plan import Plan, plan_of

__all__ = [
    "Moved",
    "Offer",
    "Order",
    "Placed",
    "kept_order",
    "launches_if",
    "leave_offer",
    "look_for_better",
    "offer_of",
    "order_of",
    "plan_from",
    "reckon_order",
    "record_launch",
    "take_offer",
]

#: A better order must bring the launch forward by this many minutes to be worth a change.
WORTH = 60
#: What each task that is moved must win of the launch, in minutes.
CALM = 60
SEED = 1


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a task lies in the order of work, in the build's zone."""

    start: dt.datetime
    finish: dt.datetime
    cured: dt.datetime
    resume: dt.datetime


@dataclass(frozen=True)
class Order:
    """An order of work.

    `launch` is None where there is nothing to plan with. `whole` tells that nothing can launch
    sooner with these hands; `soonest` is the moment before which no order at all can launch.
    `order` names the unfinished tasks by the start of what is left of them.
    """

    made_at: dt.datetime
    plan_version: int
    launch: dt.datetime | None
    soonest: dt.datetime | None
    whole: bool
    places: Mapping[int, Placed]
    order: tuple[int, ...]
    troubles: tuple[tuple[int, str], ...]
    figures: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Moved:
    """A task that the offer starts at another time."""

    task: int
    start: dt.datetime
    offered: dt.datetime


@dataclass(frozen=True)
class Offer:
    """A better order than the one that stands."""

    launch: dt.datetime
    order: Order
    moved: list[Moved]


def kept_order(build: Build) -> Order | None:
    """The order of work as last reckoned, however old. One query."""
    answer = Answer.objects.filter(build=build, kind=AnswerKind.ORDER).first()
    return None if answer is None else _order(answer, build)


def order_of(plan: Plan) -> Order | None:
    """The order of work of a plan that was just read; reckoned now if the kept one has aged.

    None if there is nothing to do, or no hours to do it in; the plan's problems say which.
    Beside its queries the first answer takes up to a second at 500 tasks, so a page that must
    not wait asks for `kept_order` and has this one loaded after it.
    """
    kept = Answer.objects.filter(build=plan.build, kind=AnswerKind.ORDER).first()
    if kept is not None and _holds(kept, plan):
        return _order(kept, plan.build)
    return reckon_order(plan, kept)


def reckon_order(plan: Plan, kept: Answer | None = None) -> Order | None:
    """Reckon a first answer near the kept one, and keep it."""
    if plan.launch is None:
        return None
    previous = _starts(kept.figures) if kept else None
    inputs = inputs_of(plan)
    answer = _solve(inputs, previous=previous)
    if answer is None:
        return None
    settled = kept is not None and kept.figures["settled"]
    figures = figures_of(answer) | {"settled": settled}
    row = _keep(plan, AnswerKind.ORDER, figures)
    keep_record(plan, inputs, figures)
    return _order(row, plan.build)


def record_launch(build: Build) -> None:
    """Bring the record of the launch up to the order that stands, if that is for the plan as is."""
    order = kept_order(build)
    if order is None:
        return
    plan = plan_of(build, order.made_at)
    if (plan.version, _settings(build)) == (order.plan_version, order.figures["of"]):
        keep_record(plan, inputs_of(plan), order.figures, again=True)


def look_for_better(build: Build, seconds: float, seed: int = SEED) -> Offer | None:
    """Look for a better order for so many seconds of processor time; keep it as an offer.

    The very first order of a build, which nobody has got used to, is put in place at once.
    """
    plan = plan_of(build)
    order = order_of(plan)
    if order is None or order.whole:
        Answer.objects.filter(build=build, kind=AnswerKind.OFFER).delete()
        if order is not None and not order.figures["settled"]:
            _keep(plan, AnswerKind.ORDER, {**order.figures, "settled": True})
        return None
    previous = _starts(order.figures)
    found = _solve(inputs_of(plan), seconds=seconds, seed=seed, previous=previous)
    with transaction.atomic():
        fresh = Build.objects.select_for_update().get(pk=build.pk)
        if found is None or (fresh.plan_version, _settings(fresh)) != (
            plan.version,
            _settings(build),
        ):
            return None  # what it was made of has changed meanwhile
        better = found.launch <= order.figures["launch"] - WORTH
        if not order.figures["settled"]:
            best = figures_of(found) if better else order.figures
            _keep(plan, AnswerKind.ORDER, {**best, "settled": True})
            better = False
        if not better:
            Answer.objects.filter(build=build, kind=AnswerKind.OFFER).delete()
            return None
        _keep(plan, AnswerKind.OFFER, figures_of(found))
    return offer_of(build, order)


def offer_of(build: Build, order: Order) -> Offer | None:
    """The better order that waits to be taken, if it is for the plan as it stands."""
    answer = Answer.objects.filter(
        build=build, kind=AnswerKind.OFFER, plan_version=order.plan_version
    ).first()
    if answer is None:
        return None
    offered = _order(answer, build)
    if offered.launch is None:
        return None
    moved = [
        Moved(pk, order.places[pk].resume, place.resume)
        for pk, place in offered.places.items()
        if pk in order.places and place.resume != order.places[pk].resume
    ]
    moved.sort(key=lambda one: one.offered)
    return Offer(offered.launch, offered, moved)


def take_offer(build: Build) -> bool:
    """Put the offered order in place; False if there is none for the plan as it stands."""
    with transaction.atomic():
        fresh = Build.objects.select_for_update().get(pk=build.pk)
        offer = Answer.objects.filter(
            build=build, kind=AnswerKind.OFFER, plan_version=fresh.plan_version
        ).first()
        if offer is None or offer.figures["of"] != _settings(fresh):
            return False
        Answer.objects.filter(build=build, kind=AnswerKind.ORDER).delete()
        offer.kind = AnswerKind.ORDER
        offer.figures["settled"] = True
        offer.save(update_fields=["kind", "figures"])
        return True


def leave_offer(build: Build) -> None:
    Answer.objects.filter(build=build, kind=AnswerKind.OFFER).delete()


def launches_if(plan: Plan, change: Callable[[Inputs], Inputs]) -> tuple[int, int] | None:
    """The launch as things are, and after a change of the inputs, in clock minutes.

    Both are first answers near the order that stands, so that they can be held against each
    other. None if one of them cannot be planned, or the fixed order would go against the links.
    """
    kept = Answer.objects.filter(build=plan.build, kind=AnswerKind.ORDER).first()
    previous = _starts(kept.figures) if kept else None
    inputs = inputs_of(plan)
    now, then = (_solve(one, previous=previous) for one in (inputs, change(inputs)))
    if now is None or then is None or any(one.rule == "turn" for one in then.problems):
        return None
    return now.launch, then.launch


def figures_of(answer: hands.HandsPlan) -> dict[str, Any]:
    """A plan as what a row can hold; not settled until the worker has looked for a better one."""
    return {
        "settled": False,
        "now": answer.now,
        "launch": answer.launch,
        "bound": answer.bound,
        "proven": answer.proven,
        "schedules": answer.schedules,
        "places": {
            str(pk): [place.start, place.finish, place.cured, place.resume]
            for pk, place in answer.places.items()
        },
        "order": list(answer.order),
        "troubles": [[trouble.task, trouble.rule] for trouble in answer.problems],
    }


def plan_from(figures: Mapping[str, Any]) -> hands.HandsPlan:
    """The plan that a row holds."""
    return hands.HandsPlan(
        now=figures["now"],
        launch=figures["launch"],
        places={int(pk): hands.Place(*place) for pk, place in figures["places"].items()},
        order=tuple(figures["order"]),
        bound=figures["bound"],
        proven=figures["proven"],
        schedules=figures["schedules"],
        problems=tuple(
            network.Problem(pk, rule, trouble_words(rule)) for pk, rule in figures["troubles"]
        ),
    )


def trouble_words(rule: str) -> str:
    """What could not be planned as asked, and what to do about it; the tasks are named beside."""
    match rule:
        case "enough":
            return (
                "Never have all that they need at once, and are planned with what there is. Book "
                "the helpers, or say that there is more of what they hold."
            )
        case "hours":
            return (
                "Find no room in the hours they keep to, and are planned in the shop's hours. "
                "Widen the limit or the helpers' hours, or take the limit off."
            )
        case "unbroken":
            return (
                "Must be done in one go, but no stretch of their hours is long enough, so they "
                "are planned in pieces. Make one long day, or get more hands."
            )
        case "turn":
            return (
                "The fixed order asks tasks to wait for what waits for them. The links hold, and "
                "the fixed order is left out; let one of its tasks go."
            )
        case _:
            return (
                "Cannot start when they are pinned: what they wait for, their hours or hands do "
                "not allow it. They are planned as near after as was found."
            )


def _solve(
    inputs: Inputs,
    *,
    seconds: float = 0.0,
    seed: int = SEED,
    previous: Mapping[network.TaskId, int] | None = None,
) -> hands.HandsPlan | None:
    problem = problem_of(inputs)
    # By the wall clock: on a busy machine a job must not outlive its lease.
    how: dict[str, Any] = {
        "seconds": seconds, "seed": seed, "previous": previous, "calm": CALM,
        "clock": time.monotonic,
    }  # fmt: skip
    try:
        return hands.plan_hands(problem, **how)
    except network.Cycle as ring:
        if not problem.in_order:
            return None  # the plan's own problems say it
        # The fixed order goes against the links: those hold, and the order is said not to.
        free = replace(problem, in_order=())
        trouble = network.Problem(problem.in_order[0], "turn", str(ring))
    except network.NoAnswer:
        return None
    try:
        found = hands.plan_hands(free, **how)
    except (network.Cycle, network.NoAnswer):
        return None
    return replace(found, problems=(*found.problems, trouble))


def _holds(kept: Answer, plan: Plan) -> bool:
    """Whether a kept order still stands: nothing was changed, and it is of today."""
    made = kept.made_at.astimezone(plan.zone)
    unchanged = kept.plan_version == plan.version and kept.figures["of"] == _settings(plan.build)
    return unchanged and made.date() == plan.now.date()


def _settings(build: Build) -> list[Any]:
    """What counts of the build's own row, a change of which raises no version."""
    return [build.hands, build.time_zone]


def _keep(plan: Plan, kind: AnswerKind, figures: dict[str, Any]) -> Answer:
    kept, _ = Answer.objects.update_or_create(
        build=plan.build,
        kind=kind,
        defaults={
            "plan_version": plan.version,
            "made_at": plan.now,
            "figures": {**figures, "of": _settings(plan.build)},
        },
    )
    return kept


def _starts(figures: Mapping[str, Any]) -> dict[network.TaskId, int]:
    return {int(pk): place[3] for pk, place in figures["places"].items()}


def _order(answer: Answer, build: Build) -> Order:
    zone, figures = build.zone, answer.figures

    def moment(minute: int) -> dt.datetime:
        return dt.datetime.fromtimestamp(minute * 60, zone)

    return Order(
        made_at=answer.made_at.astimezone(zone),
        plan_version=answer.plan_version,
        launch=moment(figures["launch"]),
        soonest=moment(figures["bound"]),
        whole=figures["proven"],
        places={
            int(pk): Placed(*(moment(minute) for minute in place))
            for pk, place in figures["places"].items()
        },
        order=tuple(figures["order"]),
        troubles=tuple((pk, rule) for pk, rule in figures["troubles"]),
        figures=figures,
    )
