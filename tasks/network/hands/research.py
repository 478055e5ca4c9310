"""Reader of single-mode research instances (PSPLIB) with their resources.

In addition to what `tasks.network.research` reads, `capacity` is the units of each resource, and
`demand` for each task the units of each that it holds. One period is taken as one minute.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tasks.network.calendar import Calendar
from tasks.network.exceptions import BadFile, NetworkError
from tasks.network.hands.hours import Capacity
from tasks.network.hands.values import HandsPlan, HandsProblem, Need
from tasks.network.research import read_instance

__all__ = ["read_problem", "write_plan"]


def read_problem(instance: Mapping[str, Any]) -> HandsProblem:
    """An instance as a problem whose status time is 0; its resources are named by number.

    Raises
    ------
    BadFile
        If durations, successors, capacities and demands are not of one piece.

    Examples
    --------
    >>> problem = read_problem(
    ...     {
    ...         "name": "x",
    ...         "duration": [0, 3, 0],
    ...         "successors": [[2], [3], []],
    ...         "capacity": [2],
    ...         "demand": [[0], [1], [0]],
    ...     }
    ... )
    >>> problem.need_of(2).amounts, problem.capacities["1"].base
    ({'1': 1}, 2)
    """
    name = instance.get("name")
    tasks, links = read_instance(instance)
    capacity, demand = instance.get("capacity"), instance.get("demand")
    if not isinstance(capacity, list) or not isinstance(demand, list):
        raise BadFile(f"instance {name}: capacity and demand must be lists")
    if len(demand) != len(tasks):
        raise BadFile(f"instance {name}: {len(tasks)} durations, but {len(demand)} rows of demand")
    try:
        needs = {
            task.id: Need(
                {
                    str(number): amount
                    for number, (amount, _) in enumerate(zip(row, capacity, strict=True), start=1)
                    if amount
                }
            )
            for task, row in zip(tasks, demand, strict=True)
        }
        capacities = {str(number): Capacity(units) for number, units in enumerate(capacity, 1)}
        return HandsProblem(tasks, links, Calendar.always(), 0, needs, capacities)
    except (NetworkError, TypeError, ValueError) as error:
        raise BadFile(f"instance {name}: {error}") from error


def write_plan(instance: Mapping[str, Any], plan: HandsPlan) -> dict[str, Any]:
    """A plan as JSON values: `name`, `makespan` and `start` in the order of the tasks."""
    starts = [place.start for place in plan.places.values()]
    return {"name": instance["name"], "makespan": plan.launch, "start": starts}
