"""Launches that can be held against each other: of the plan as it is, and of it with a change.

Both are looked for with the same effort: the same seed, the same number of orders laid out, begun
from the same order. What lies between them is then the change and not luck.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from tasks import network
from tasks.models import Build
from tasks.network import hands
from tasks.order import SEED, Order
from tasks.order_values import Inputs, inputs_of, problem_of
from tasks.plan import Plan

__all__ = ["Base", "base_of", "effort_for", "has_aged"]

#: Orders laid out for each launch: fewer where there are more tasks, so that it takes as long.
MOST_ORDERS, FEWEST_ORDERS = 300, 40
TASKS_LAID = 20_000


@dataclass(frozen=True)
class Base:
    """The plan as it is: what it is made of, its launch in clock minutes, its order as found."""

    inputs: Inputs
    launch: int
    found: hands.HandsPlan
    starts: Mapping[network.TaskId, int]
    orders: int

    def launch_of(self, changed: Inputs) -> int | None:
        """The launch with a change of the inputs, in clock minutes; None if it has none."""
        found = _solve(changed, self.starts, self.orders)
        return None if found is None else found.launch


def effort_for(inputs: Inputs) -> int:
    """How many orders to lay out for each launch."""
    unfinished = sum(task.finished is None for task in inputs.tasks)
    return min(max(TASKS_LAID // max(unfinished, 1), FEWEST_ORDERS), MOST_ORDERS)


def base_of(plan: Plan, order: Order, orders: int | None = None) -> Base | None:
    """The plan as it is, looked for twice: the second time as each change will be, from the first.

    Parameters
    ----------
    plan, order
        The plan, and the order of work to begin from: the best that is known.
    orders
        How many orders to lay out for each launch; nought for first answers.
    """
    inputs = inputs_of(plan)
    orders = effort_for(inputs) if orders is None else orders
    first = _solve(inputs, {pk: row[3] for pk, row in _places(order)}, orders)
    again = first and _solve(inputs, _starts(first), orders)
    if not first or not again:
        return None
    return Base(inputs, again.launch, again, _starts(first), orders)


def has_aged(plan: Plan) -> bool:
    """Whether the plan was changed since it was read, so that nobody needs its answers. A query."""
    return not Build.objects.filter(pk=plan.build.pk, plan_version=plan.version).exists()


def _places(order: Order) -> list[tuple[int, list[int]]]:
    return [(int(pk), row) for pk, row in order.figures["places"].items()]


def _starts(found: hands.HandsPlan) -> dict[network.TaskId, int]:
    return {pk: place.resume for pk, place in found.places.items()}


def _solve(
    inputs: Inputs, previous: Mapping[network.TaskId, int], orders: int
) -> hands.HandsPlan | None:
    problem = problem_of(inputs)
    for one in (problem, replace(problem, in_order=())):
        try:
            # Calm is for a plan that people get used to; here the soonest launch is asked for.
            return hands.plan_hands(one, schedules=orders, seed=SEED, previous=previous, calm=0)
        except network.Cycle:
            continue  # the fixed order goes against the links, which hold
        except network.NoAnswer:
            return None
    return None
