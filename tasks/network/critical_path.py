"""Early and late dates, floats, driving links and the critical path of a network."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tasks.network.calendar import Calendar
from tasks.network.columns import link_columns, number, task_columns
from tasks.network.compiled import CURED, FINISH, START, Compiled
from tasks.network.dates import Dates
from tasks.network.driving import driving_links
from tasks.network.passes import Early, Ground, latest, walk_backward, walk_forward
from tasks.network.steps import step_backward, step_forward
from tasks.network.table import NEVER, Ints
from tasks.network.values import Link, Problem, Schedule, Task

__all__ = ["schedule"]


def schedule(
    tasks: Iterable[Task], links: Iterable[Link], calendar: Calendar, now: int
) -> Schedule:
    """Plan a network from a status time on, by the critical path method.

    Parameters
    ----------
    tasks, links
        The network; ids are unique and every link joins two of them.
    calendar
        The shop hours.
    now
        Status time in clock minutes. What is finished keeps its dates. What is started keeps its
        start and goes on from here with the work that is left. What is not started starts no
        earlier. Links to and from started work still hold (retained logic).

    Returns
    -------
    Schedule
        Instants in clock minutes, floats in shop minutes.

    Raises
    ------
    DuplicateTask, UnknownTask, Cycle
        If the tasks and links do not make a network.
    NoShopHours, OutOfShopHours
        If there is work, but not enough shop hours for it.

    Examples
    --------
    >>> tasks = [Task("glue", 120, cure=600), Task("plane", 60), Task("fit", 30)]
    >>> links = [Link("glue", "fit"), Link("plane", "fit")]
    >>> plan = schedule(tasks, links, Calendar.always(), now=0)
    >>> plan.launch, plan.critical_path
    (750, ('glue', 'fit'))
    >>> plan.dates["plane"].total_float, plan.dates["fit"].driving == links[0]
    (660, True)

    Notes
    -----
    Links that hold a start are met by the start, those that hold a finish by the finish, and the
    work runs without gaps but those of the shop hours. A point in time lies at the clock minute at
    which all that it waits for is over, be the shop open or not. On a tie the driving link is one
    that holds the start before one that holds the finish, then the one that ends latest by the
    clock, then the one given first. A launch shared by several tasks is counted back from the one
    furthest along the links.

    With one calendar, no cure, no elapsed lag and no unbroken task, no task on the critical path
    has any float. Where elapsed time or an unbroken task waits for shop hours, its predecessors
    may slip within that wait: they drive the launch and yet have float.

    Source of the method: J. E. Kelley and M. R. Walker, "Critical-path planning and scheduling",
    Proc. Eastern Joint Computer Conference, 1959; the four kinds of link as in the precedence
    diagramming method.
    """
    tasks, links = list(tasks), list(links)
    numbers = number(tasks)
    ids = list(numbers)
    network = Compiled(ids, task_columns(tasks), link_columns(links, numbers))
    ground, early, launch, late = walk(network, calendar, now)
    driving = driving_links(ground, early)
    path = _path(network, early, launch, driving)
    columns = _columns(ground, early, late, launch) | {"driving": driving}
    columns["critical"] = (columns["total_float"] <= 0) & ~network.is_finished
    columns["critical"][path] = True
    columns = {name: values[network.rank] for name, values in columns.items()}
    return Schedule(
        now=now,
        launch=launch,
        dates=Dates(ids, links, columns),
        critical_path=tuple(ids[network.order[rank]] for rank in path),
        problems=tuple(
            _too_long(tasks[position], calendar)
            for position in np.flatnonzero(columns["in_pieces"]).tolist()
        ),
    )


def walk(network: Compiled, calendar: Calendar, now: int) -> tuple[Ground, Early, int, Ints]:
    """Both passes: the early dates, the launch that follows from them, and the late dates."""
    ground, early = _walk_forward(network, calendar, now)
    launch = int(early.block(CURED).max()) if network.count else now
    if network.levels is None:
        late = step_backward(ground, early, launch)
    else:
        late = walk_backward(ground, early, launch, network.levels)
    return ground, early, launch, late


def _walk_forward(network: Compiled, calendar: Calendar, now: int) -> tuple[Ground, Early]:
    """Early dates, with as many days of shop hours laid out as they take."""
    waiting = np.maximum(network.not_before, now)
    started = np.where(network.started > -NEVER, now, waiting)
    floor = np.where(network.is_finished, network.finished, started)
    begun = network.begun[network.begun > -NEVER]
    calendar.lay_out(
        int(min(floor.min(initial=now), begun.min(initial=now))), int(floor.max(initial=now))
    )
    longest = NEVER if calendar.longest_stretch is None else calendar.longest_stretch
    one_go = network.unbroken & (network.work <= longest) & ~network.is_point
    while True:
        ground = Ground(network, calendar.table, one_go)
        if network.levels is None:
            early = step_forward(ground, floor)
        else:
            early = walk_forward(ground, floor, network.levels)
        if calendar.knows(int(early.block(CURED).max(initial=now))):
            return ground, early
        calendar.lay_out_more()


def _columns(ground: Ground, early: Early, late: Ints, launch: int) -> dict[str, NDArray[Any]]:
    """Dates and floats by rank."""
    network, count = ground.network, ground.network.count
    shop = ground.table.shop_at_each(early.resume)
    kept = np.concatenate((early.resume, early.block(FINISH), launch - network.cure))
    spare = latest(ground, kept, 0, count)[0] if count else shop
    start, late_resume = early.block(START), late[:count]
    return {
        "early_start": start,
        "early_finish": early.block(FINISH),
        "cured": early.block(CURED),
        "late_start": np.where(network.begun > -NEVER, start, late_resume),
        "late_finish": late[count : 2 * count],
        "total_float": ground.table.shop_at_each(late_resume) - shop,
        "free_float": np.where(network.is_finished, 0, ground.table.shop_at_each(spare) - shop),
        "in_pieces": network.unbroken & ~ground.one_go & ~network.is_point,
    }


def _path(network: Compiled, early: Early, launch: int, driving: Ints) -> list[int]:
    """Ranks along the driving links back from the launch, first to last."""
    ends = np.flatnonzero(early.block(CURED) == launch)
    path: list[int] = ends[-1:].tolist()
    while path and driving[path[-1]] >= 0:
        path.append(int(network.before[driving[path[-1]]]))
    return path[::-1]


def _too_long(task: Task, calendar: Calendar) -> Problem:
    return Problem(
        task=task.id,
        rule="unbroken",
        text=(
            f"Task {task.id} must be done in one go and needs {task.work} minutes, but the longest "
            f"stretch of shop hours has {calendar.longest_stretch}. It is planned in pieces."
        ),
    )
