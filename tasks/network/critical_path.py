"""Early and late dates, floats, driving links and the critical path of a network."""

from __future__ import annotations

from collections.abc import Iterable

from tasks.network.calendar import Calendar
from tasks.network.compiled import Compiled
from tasks.network.passes import Early, free, walk_backward, walk_forward
from tasks.network.values import Link, Problem, Schedule, Task, TaskDates, TaskId

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
    network = Compiled(list(tasks), list(links))
    early = walk_forward(network, calendar, now)
    launch = max(early.cured, default=now)
    late = walk_backward(network, calendar, early, launch)
    spare = free(network, calendar, early, launch)
    path = _path(network, early, launch)
    on_path = set(path)
    dates: dict[TaskId, TaskDates] = {}
    for number, task in enumerate(network.tasks):
        driving, early_place = early.driving[number], calendar.shop_at(early.resume[number])
        total = calendar.shop_at(late.resume[number]) - early_place
        dates[task.id] = TaskDates(
            early_start=early.start[number],
            early_finish=early.finish[number],
            cured=early.cured[number],
            late_start=late.resume[number] if _is_waiting(task) else early.start[number],
            late_finish=late.finish[number],
            total_float=total,
            free_float=calendar.shop_at(spare[number]) - early_place,
            driving=network.links[driving] if driving >= 0 else None,
            critical=number in on_path or (task.finished is None and total <= 0),
            in_pieces=number in early.in_pieces,
        )
    return Schedule(
        now=now,
        launch=launch,
        dates=dates,
        critical_path=tuple(network.tasks[number].id for number in path),
        problems=_problems(network, calendar, early),
    )


def _is_waiting(task: Task) -> bool:
    return task.started is None and task.finished is None


def _path(network: Compiled, early: Early, launch: int) -> list[int]:
    """Task numbers along the driving links back from the launch, first to last."""
    last = next((number for number in reversed(network.order) if early.cured[number] == launch), -1)
    path = []
    while last >= 0:
        path.append(last)
        driving = early.driving[last]
        last = network.numbers[network.links[driving].before] if driving >= 0 else -1
    return path[::-1]


def _problems(network: Compiled, calendar: Calendar, early: Early) -> tuple[Problem, ...]:
    return tuple(
        Problem(
            task=network.tasks[number].id,
            rule="unbroken",
            text=(
                f"Task {network.tasks[number].id} must be done in one go and needs "
                f"{network.work[number]} minutes, but the longest stretch of shop hours has "
                f"{calendar.longest_stretch}. It is planned in pieces."
            ),
        )
        for number in sorted(early.in_pieces)
    )
