"""Taking a change into the plan, and undoing it: each all at once or not at all.

Nothing is ever lost by it. Bought in or left out, a task keeps its estimates, links, parts, hours
and photos; the price of work bought in becomes equipment on its parts list, which is then ordered,
bought and counted as anything else.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import ROUND_DOWN, Decimal
from typing import Any

from django.utils import timezone

from buildlog.ahead.looking import ask_to_look
from buildlog.ahead.models import Taken
from buildlog.ahead.moves import (
    BoughtIn,
    Evening,
    Heating,
    Helper,
    LeftOut,
    Move,
    from_row,
    to_row,
)
from buildlog.ahead.moves_cost import heating_cost
from buildlog.ahead.moves_words import move_words
from buildlog.materials.models import Material, Part, Price
from buildlog.money.models import StandingCost
from tasks.changes import Refused, alone_on
from tasks.models import Build, Doing, HeatedDays, HelpDay, Person, ShopHours, Task
from tasks.plan import Plan, plan_of

__all__ = ["take", "undo"]

Made = dict[str, Any]
SMALLEST = Decimal("0.0001")
WORK_BOUGHT_IN = "Work bought in"


def take(build: Build, move: Move, person: Person | None, key: str = "") -> tuple[Taken, bool]:
    """Make the change; whether it is new is False where the same form was sent before.

    Raises
    ------
    Refused
        If the plan has changed so that it no longer fits.
    """
    with alone_on(build) as fresh:
        twin = Taken.objects.filter(build=fresh, key=key).first() if key else None
        if twin:
            return twin, False
        plan = plan_of(fresh)
        if not move.fits(plan):
            raise Refused(
                "The plan has changed since: this no longer fits it. Nothing was changed. Look "
                "again at what would move the launch."
            )
        says = move_words(plan, move)[:300]
        made = _TAKE[type(move)](plan, move)
        taken = Taken.objects.create(
            build=fresh, person=person, at=timezone.now(), says=says, move=to_row(move),
            made=made, key=key,
        )  # fmt: skip
        ask_to_look(fresh)
        return taken, True


def undo(taken: Taken) -> bool:
    """Put things back as they stood; False if that was done before, as on a second click.

    Raises
    ------
    Refused
        If what was made has been changed since, with where to change it by hand.
    """
    with alone_on(taken.build) as build:
        taken = Taken.objects.select_for_update().get(pk=taken.pk)
        if taken.undone_at:
            return False
        move = from_row(taken.move)
        _UNDO[type(move)](build, move, taken.made)
        taken.undone_at = timezone.now()
        taken.save(update_fields=["undone_at"])
        ask_to_look(build)
        return True


def _take_evening(plan: Plan, move: Evening) -> Made:
    ShopHours.objects.create(
        build=plan.build, weekday=move.weekday, start_minute=move.start, end_minute=move.end
    )
    return {}


def _undo_evening(build: Build, move: Evening, made: Made) -> None:
    # By what they say: keeping the week's hours makes its rows anew.
    rows = ShopHours.objects.filter(
        build=build, weekday=move.weekday, start_minute=move.start, end_minute=move.end
    )
    row = rows.first()
    if row is None:
        raise Refused("Those shop hours were changed since. Change them on the sheet of hours.")
    row.delete()


def _take_helper(plan: Plan, move: Helper) -> Made:
    return {"help": HelpDay.objects.create(build=plan.build, **_help(move)).pk}


def _help(move: Helper) -> dict[str, Any]:
    return {
        "who": move.who or "A helper", "hands": move.hands, "weekday": move.weekday,
        "first": move.first, "last": move.last, "start_minute": move.start,
        "end_minute": move.end,
    }  # fmt: skip


def _undo_helper(build: Build, move: Helper, made: Made) -> None:
    row = HelpDay.objects.filter(build=build, pk=made["help"], **_help(move)).first()
    if row is None:
        raise Refused("That help was changed since. Change it on the sheet of hands.")
    row.delete()


def _take_heating(plan: Plan, move: Heating) -> Made:
    days = HeatedDays.objects.create(build=plan.build, first=move.first, last=move.last)
    if move.a_month is None:
        return {"days": days.pk}
    cost = heating_cost(plan, move, move.a_month)
    cost.save()
    return {"days": days.pk, "cost": cost.pk}


def _undo_heating(build: Build, move: Heating, made: Made) -> None:
    days = HeatedDays.objects.filter(
        build=build, pk=made["days"], first=move.first, last=move.last
    ).first()
    costs = StandingCost.objects.filter(build=build, pk__in=[made.get("cost", 0)])
    cost = costs.first()
    kept = cost and (cost.a_month, cost.first, cost.last) == (move.a_month, move.first, move.last)
    if days is None or ("cost" in made and not kept):
        raise Refused(
            "The heating was changed since. Change its days on the sheet of hands, and its cost "
            "among the standing costs."
        )
    days.delete()
    if cost:
        cost.delete()


def _take_bought_in(plan: Plan, move: BoughtIn) -> Made:
    days = move.days_of(plan)
    made: Made = {"before": _set(plan.build, move.tasks, move.doing, days)}
    if move.price is not None:
        made["parts"] = [_priced(plan, pk, share) for pk, share in shares_of(plan, move).items()]
    return made


def shares_of(plan: Plan, move: BoughtIn) -> dict[int, Decimal]:
    """The price spread over the tasks by their hours; the shares sum to the price."""
    price = move.price or Decimal(0)
    weights = {pk: plan.tasks[pk].task.likely_minutes for pk in move.tasks}
    whole = sum(weights.values())
    shares = {
        pk: (price * weight / whole if whole else price / len(weights)).quantize(
            SMALLEST, ROUND_DOWN
        )
        for pk, weight in weights.items()
    }
    first = move.tasks[0]
    shares[first] += price - sum(shares.values())
    return shares


def _priced(plan: Plan, pk: int, share: Decimal) -> Made:
    """The work of a task as something that is bought: a material, its price, a part of the task."""
    build, task = plan.build, plan.tasks[pk].task
    material, new = Material.objects.get_or_create(
        build=build,
        name=f"{WORK_BOUGHT_IN}: {task}"[:120],
        defaults={
            "kind": Material.Kind.EQUIPMENT,
            "unit": Material.Unit.EACH,
            "waste_percent": Decimal(0),
        },
    )
    price = Price.objects.create(
        material=material, day=plan.now.date(), net=share, currency=build.currency
    )
    part, new_part = Part.objects.get_or_create(
        build=build, name=WORK_BOUGHT_IN, task_id=pk, material=material,
        defaults={"quantity": Decimal(1)},
    )  # fmt: skip
    return {
        "material": material.pk if new else None,
        "price": price.pk,
        "part": part.pk if new_part else None,
    }


def _undo_bought_in(build: Build, move: BoughtIn, made: Made) -> None:
    _put_back(build, made["before"], move.doing)
    for row in made.get("parts", ()):
        Part.objects.filter(build=build, pk=row["part"]).delete()
        # What was ordered of it meanwhile, or put on another task, stays in the books.
        material = Material.objects.filter(build=build, pk=row["material"]).first()
        if material is None:
            Price.objects.filter(material__build=build, pk=row["price"]).delete()
        elif not (
            material.purchase_lines.exists()
            or material.moves.exists()
            or material.parts.exists()
            or material.prices.exclude(pk=row["price"]).exists()
        ):
            material.delete()
    build.touch_books()


def _take_left_out(plan: Plan, move: LeftOut) -> Made:
    return {"before": _set(plan.build, move.tasks_of(plan), Doing.LEFT_OUT, {})}


def _undo_left_out(build: Build, move: LeftOut, made: Made) -> None:
    _put_back(build, made["before"], Doing.LEFT_OUT)


def _set(build: Build, tasks: Any, doing: Doing, days: dict[Any, int]) -> list[list[Any]]:
    """Say who does these tasks. How they stood comes back: number, doing and days of each."""
    before = []
    for task in Task.objects.filter(build=build, pk__in=tasks):
        before.append([task.pk, task.doing, task.bought_in_days])
        task.doing = doing
        task.bought_in_days = days.get(task.pk, task.bought_in_days)
        task.save(update_fields=["doing", "bought_in_days"])
    return before


def _put_back(build: Build, before: list[list[Any]], doing: Doing) -> None:
    rows = {task.pk: task for task in Task.objects.filter(build=build)}
    known = [(rows[pk], old, days) for pk, old, days in before if pk in rows]
    for task, _old, _days in known:
        if task.doing != doing or task.started_at or task.finished_at or task.work.exists():
            raise Refused(
                f"{task} is begun or was changed since. Change on its own sheet how it is done."
            )
    for task, old, days in known:
        task.doing, task.bought_in_days = old, days
        task.save(update_fields=["doing", "bought_in_days"])


_TAKE: dict[type[Move], Callable[[Plan, Any], Made]] = {
    Evening: _take_evening,
    Helper: _take_helper,
    Heating: _take_heating,
    BoughtIn: _take_bought_in,
    LeftOut: _take_left_out,
}
_UNDO: dict[type[Move], Callable[[Build, Any, Made], None]] = {
    Evening: _undo_evening,
    Helper: _undo_helper,
    Heating: _undo_heating,
    BoughtIn: _undo_bought_in,
    LeftOut: _undo_left_out,
}
