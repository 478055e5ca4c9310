"""The inputs of the order of work with one thing changed, to see what would be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from tasks.order import launches_if
from tasks.order_values import Inputs, TaskNeed
from tasks.plan import Plan

__all__ = ["Cost", "cost_of_pin", "cost_of_turn"]


@dataclass(frozen=True, slots=True)
class Cost:
    """What a change does to the launch: the date as things are, and then, in clock minutes."""

    now: int
    then: int

    @property
    def minutes(self) -> int:
        return self.then - self.now


def cost_of_pin(plan: Plan, pk: int, minute: int) -> Cost | None:
    """What it costs to start a task at just this clock minute; None if nothing can be planned."""
    return _cost(launches_if(plan, lambda inputs: _with_need(inputs, {pk: {"pin": minute}})))


def cost_of_turn(plan: Plan, pk: int, after: int) -> Cost | None:
    """What it costs to begin a task after another; None if the links forbid it."""

    def change(inputs: Inputs) -> Inputs:
        fixed = sorted(
            (need.turn, task) for task, need in inputs.needs.items() if need.turn is not None
        )
        order = [task for _turn, task in fixed if task != pk]
        if after not in order:
            order.append(after)
        order.insert(order.index(after) + 1, pk)
        return _with_need(inputs, {task: {"turn": turn} for turn, task in enumerate(order, 1)})

    return _cost(launches_if(plan, change))


def _with_need(inputs: Inputs, changed: Mapping[int, Mapping[str, Any]]) -> Inputs:
    needs: dict[int, TaskNeed] = dict(inputs.needs)
    for task, fields in changed.items():
        needs[task] = replace(needs[task], **fields)
    return replace(inputs, needs=needs)


def _cost(launches: tuple[int, int] | None) -> Cost | None:
    return None if launches is None else Cost(*launches)
