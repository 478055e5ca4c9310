"""What would move the launch, reckoned by the worker and kept so that no page waits for it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from buildlog.ahead.moves import Evening, Move, from_row, to_row
from buildlog.ahead.moves_cost import cost_after
from buildlog.ahead.moves_found import moves_worth_a_look
from buildlog.money.cost import Cost, cost_of, to_finish_if
from tasks.launches import Base, base_of, has_aged
from tasks.models import Answer, AnswerKind, Build
from tasks.order import launches_if, offer_of, order_of
from tasks.plan import Plan

__all__ = [
    "KeptMoves",
    "Moved",
    "base_to_hold_against",
    "kept_moves",
    "move_at_once",
    "reckon_moves",
]


@dataclass(frozen=True, slots=True)
class Moved:
    """A change with the launch and the cost to finish beside those of the plan as it is.

    The cost holds what the change costs only as far as that was said. Negative days are later.
    """

    move: Move
    now: dt.datetime
    then: dt.datetime
    cost_now: Decimal
    cost_then: Decimal

    @property
    def days(self) -> int:
        """Days by the calendar that are won."""
        return (self.now.date() - self.then.date()).days

    @property
    def saved(self) -> Decimal:
        return self.cost_now - self.cost_then


@dataclass(frozen=True)
class KeptMoves:
    """All changes that were looked at, those that win most days first.

    `dates_hold` and `costs_hold` tell whether plan and books are as they were.
    """

    launch: dt.datetime
    found: list[Moved]
    dates_hold: bool
    costs_hold: bool


def base_to_hold_against(plan: Plan) -> Base | None:
    """The plan as it is, from the best order that is known, to hold changes against."""
    order = order_of(plan)
    if order is None:
        return None
    offer = offer_of(plan.build, order)
    return base_of(plan, offer.order if offer else order)


def reckon_moves(plan: Plan, base: Base) -> None:
    """Hold every change worth a look against the plan as it is, and keep what comes of it."""
    build = plan.build
    books = Build.objects.values_list("books_version", flat=True).get(pk=build.pk)
    cost = cost_of(build, plan)
    launches: list[tuple[Move, int]] = []
    for move in moves_worth_a_look(plan, base):
        if has_aged(plan):
            return
        launch = _launch(plan, base, move)
        if launch is not None:
            launches.append((move, launch))
    now = plan.moment(base.launch)
    figures = {
        "launch": base.launch,
        "to_finish": str(to_finish_if(cost, now.date())),
        "books": books,
        "moves": [
            {**to_row(move), "launch": at, "to_finish": str(_cost(plan, cost, move, at))}
            for move, at in _best_evening(launches)
        ],
    }
    with transaction.atomic():
        fresh = Build.objects.select_for_update().get(pk=build.pk)
        if fresh.plan_version == plan.version:
            Answer.objects.update_or_create(
                build=build,
                kind=AnswerKind.MOVES,
                defaults={
                    "plan_version": plan.version,
                    "made_at": plan.now,
                    "figures": figures,
                },
            )


def _launch(plan: Plan, base: Base, move: Move) -> int | None:
    launch = base.launch_of(move.changed(base.inputs, plan))
    if launch is not None and move.only_more:
        return min(launch, base.launch)  # the plan as it is could be kept
    return launch


def _best_evening(launches: list[tuple[Move, int]]) -> list[tuple[Move, int]]:
    evenings = [one for one in launches if isinstance(one[0], Evening)]
    best = min(evenings, key=lambda one: one[1], default=None)
    return [one for one in launches if one is best or one not in evenings]


def _cost(plan: Plan, cost: Cost, move: Move, launch: int) -> Decimal:
    return cost_after(plan, cost, move, plan.moment(launch))


def kept_moves(plan: Plan) -> KeptMoves | None:
    """What the worker found last; changes that no longer fit the plan are left out. Two queries."""
    answer = Answer.objects.filter(build=plan.build, kind=AnswerKind.MOVES).first()
    if answer is None:
        return None
    figures = answer.figures
    books = Build.objects.values_list("books_version", flat=True).get(pk=plan.build.pk)
    launch, cost = plan.moment(figures["launch"]), Decimal(figures["to_finish"])
    found = []
    for row in figures["moves"]:
        move = from_row(row)
        if move.fits(plan):
            then = plan.moment(row["launch"])
            found.append(Moved(move, launch, then, cost, Decimal(row["to_finish"])))
    today = answer.made_at.astimezone(plan.zone).date() == plan.now.date()
    return KeptMoves(
        launch=launch,
        found=sorted(found, key=lambda one: (one.then, one.cost_then)),
        dates_hold=answer.plan_version == plan.version and today,
        costs_hold=figures["books"] == books,
    )


def move_at_once(plan: Plan, move: Move) -> Moved | None:
    """One change, answered at once; None if there is no launch date, now or then."""
    if plan.launch is None:
        return None  # its hours only stand in for those that nobody has said yet
    launches = launches_if(plan, lambda inputs: move.changed(inputs, plan))
    if launches is None:
        return None
    now, then = launches
    if move.only_more:
        then = min(now, then)
    cost = cost_of(plan.build, plan)
    return Moved(
        move,
        plan.moment(now),
        plan.moment(then),
        to_finish_if(cost, plan.moment(now).date()),
        _cost(plan, cost, move, then),
    )
