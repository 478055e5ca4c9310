"""The plan that the given hands can keep."""

from __future__ import annotations

import time
from collections.abc import Callable, Collection, Mapping
from dataclasses import replace

from tasks.network.exceptions import BadValue
from tasks.network.hands.bounds import launch_bound, tails
from tasks.network.hands.breed import Generations
from tasks.network.hands.ground import Ground, Side, TooShort, compile_ground, horizon, longer
from tasks.network.hands.improve import Found, Habit, Layer, Search
from tasks.network.hands.line import Laid, without_limits
from tasks.network.hands.orders import by_priority
from tasks.network.hands.together import plain
from tasks.network.hands.values import HandsPlan, HandsProblem, Place
from tasks.network.values import Problem, TaskId

__all__ = ["plan_hands"]


def plan_hands(
    problem: HandsProblem,
    *,
    seconds: float = 0.0,
    schedules: int | None = None,
    seed: int = 0,
    previous: Mapping[TaskId, int] | None = None,
    calm: int = 60,
    clock: Callable[[], float] = time.process_time,
) -> HandsPlan:
    """Plan with limited hands: a good plan at once, and a better one for the time allowed.

    Parameters
    ----------
    problem
        The tasks and what there is to do them with.
    seconds
        How long to look for a better plan than the first, as `clock` counts.
    schedules
        How many plans to lay out at most. With a seed this fixes the outcome on any machine;
        `seconds` then no longer counts.
    seed
        Of the random search.
    previous
        Starts in an earlier plan, in clock minutes, that the new plan should resemble.
    calm
        Minutes of the launch that each task moved out of the earlier plan's order must win.
    clock
        Seconds that pass; processor time if nothing else is said.

    Returns
    -------
    HandsPlan
        It keeps every rule in `tasks.network.hands.values`, save what its problems name.

    Raises
    ------
    Cycle
        If links and the fixed order make tasks wait for each other.
    NoShopHours, OutOfShopHours
        If there is work, but not enough shop hours for it.
    BadValue
        If `seconds`, `schedules` or `calm` is negative.

    Examples
    --------
    >>> from tasks.network import Calendar, Task
    >>> problem = HandsProblem([Task("a", 5), Task("b", 7)], [], Calendar.always(), now=0)
    >>> plan = plan_hands(problem)
    >>> plan.launch, plan.proven
    (12, True)
    """
    if seconds < 0 or calm < 0 or (schedules is not None and schedules < 0):
        raise BadValue("seconds, schedules and calm must not be negative")
    begun = clock()
    ground, search = _first_answer(problem, seed, previous, calm)
    layer = search.layer

    def goes_on(more: int = 1) -> bool:
        if schedules is not None:
            return layer.laid + more <= schedules
        return clock() - begun < seconds

    if layer.habit is None and plain(ground) and not search.is_over:
        _breed(search, seed, goes_on)
    search.improve(goes_on)
    return _plan(problem, ground, search, search.best)


def _breed(search: Search, seed: int, goes_on: Callable[[int], bool]) -> None:
    """The quicker search that there is for plain problems."""
    layer, best = search.layer, search.best
    start = layer.laid
    generations = Generations(layer.ground, best.order, best.value[1], seed, search.least[1])

    def may(more: int) -> bool:
        layer.laid = start + generations.laid
        return goes_on(more)

    generations.improve(may)
    layer.laid = start + generations.laid
    search.note(generations.best[1])


def _first_answer(
    problem: HandsProblem, seed: int, previous: Mapping[TaskId, int] | None, calm: int
) -> tuple[Ground, Search]:
    """Lay out as many days as the first plans take.

    What comes too late for the last of its own hours (the one day on which twelve come to help) is
    hurried, with all that it waits for. If it still finds no place it goes to the shop's hours.
    """
    minutes = horizon(problem)
    hurried, unplaced = frozenset[TaskId](), frozenset[TaskId]()
    while True:
        ground = compile_ground(problem, minutes, unplaced)
        first = _with_all_before(ground, hurried)
        try:
            bound = launch_bound(ground)
            habit, orders = _habit(ground, previous, calm, first)
            search = Search(Layer(ground, habit), seed, (0, bound - problem.now))
            search.begin(_priorities(ground, bound, first), orders)
        except TooShort as short:
            task = ground.tasks[short.rank].id
            if task in unplaced or not ground.has_ended(short.rank):
                minutes = longer(minutes)
            elif task in hurried:
                hurried, unplaced = hurried - {task}, unplaced | {task}
            else:
                hurried |= {task}
        else:
            return ground, search


def _with_all_before(ground: Ground, tasks: Collection[TaskId]) -> set[int]:
    """Ranks of some tasks and of all that they wait for."""
    ranks = {rank for rank, task in enumerate(ground.tasks) if task.id in tasks}
    for rank in range(ground.count - 1, -1, -1):
        if rank in ranks:
            ranks.update(ground.before[rank])
    return ranks


def _habit(
    ground: Ground, previous: Mapping[TaskId, int] | None, calm: int, first: Collection[int]
) -> tuple[Habit | None, list[list[int]]]:
    """The order of an earlier plan, and the same with new tasks as soon as they may come.

    Some ranks come before all others.
    """
    if previous is None:
        return None, []
    known = [rank for rank, task in enumerate(ground.tasks) if task.id in previous]
    known.sort(key=lambda rank: (previous[ground.tasks[rank].id], rank))
    places = [-1] * ground.count
    for place, rank in enumerate(known):
        places[rank] = place
    keys = [float(place) for place in places]
    for rank, waits in enumerate(ground.before):
        if places[rank] < 0:
            keys[rank] = max((keys[before] for before in waits), default=-1.0) + 1e-6
    _put_first(keys, first)
    return Habit(places, calm), [by_priority(keys, ground.before, ground.after)]


def _put_first(keys: list[float], first: Collection[int]) -> None:
    """Lower the keys of some ranks below those of all others."""
    if first:
        span = max(keys) - min(keys) + 1
        for rank in first:
            keys[rank] -= span


def _priorities(ground: Ground, bound: int, first: Collection[int]) -> list[list[float]]:
    """Rules that say which task comes first, each a key by rank; the lower, the sooner.

    Some ranks come before all others.

    Latest start, longest tail, and rank positional weight, as in R. Kolisch, "Serial and parallel
    resource-constrained project scheduling methods revisited", European Journal of Operational
    Research 90, 1996. What is in hand goes on first, and what a pin waits for in time for it.
    """
    rows = ground.forward.rows
    tail = tails(ground)
    rules = [[-float(rest + row.work) for rest, row in zip(tail, rows, strict=True)]]
    try:
        late = without_limits(_pins_due(ground), range(ground.count - 1, -1, -1), -bound)
        rules.insert(0, [-float(finish) for finish in late.finishes])
        rules.append([-float(start) for start in late.starts])
    except TooShort:
        pass
    weight = [float(row.work) for row in rows]
    for rank, after in enumerate(ground.after):
        weight[rank] += sum(rows[other].work for other in after)
    rules.append([-each for each in weight])
    for rule in rules:
        _put_first(rule, first)
        least = min(rule, default=0.0)
        for rank, task in enumerate(ground.tasks):
            if task.started is not None:
                rule[rank] = least - 1
    return rules


def _pins_due(ground: Ground) -> Side:
    """The backward side, on which no pinned task finishes later than its pin allows."""
    side = ground.backward
    if not ground.forward.pins:
        return side
    rows = side.rows.copy()
    for clock, rank in ground.forward.pins:
        table, work = ground.forward.rows[rank].own.table, rows[rank].work
        finish = table.clock_at_finish(table.shop_at(clock) + work) if work else clock
        rows[rank] = replace(rows[rank], floor=max(rows[rank].floor, -finish))
    return replace(side, rows=rows)


def _plan(problem: HandsProblem, ground: Ground, search: Search, found: Found) -> HandsPlan:
    laid = search.layer.line.lay(found.order)
    rank_of = {task.id: rank for rank, task in enumerate(ground.tasks)}
    places = {}
    for task in problem.tasks:
        if task.finished is not None:
            start = task.finished if task.started is None else task.started
            places[task.id] = Place(start, task.finished, task.finished + task.cure, task.finished)
            continue
        rank = rank_of[task.id]
        resume, finish = laid.starts[rank], laid.finishes[rank]
        start = resume if task.started is None else task.started
        places[task.id] = Place(start, finish, finish + task.cure, resume)
    launch = max((place.cured for place in places.values()), default=problem.now)
    bound = problem.now + search.least[1] if ground.tasks else launch
    return HandsPlan(
        now=problem.now,
        launch=launch,
        places=places,
        order=_order(ground, laid),
        bound=bound,
        proven=launch <= bound,
        schedules=search.layer.laid,
        problems=(*ground.problems, *_missed_pins(problem, places)),
    )


def _order(ground: Ground, laid: Laid) -> tuple[TaskId, ...]:
    ranks = sorted(range(ground.count), key=lambda rank: (laid.starts[rank], rank))
    return tuple(ground.tasks[rank].id for rank in ranks)


def _missed_pins(problem: HandsProblem, places: Mapping[TaskId, Place]) -> list[Problem]:
    missed = []
    for task in problem.tasks:
        pin = problem.need_of(task.id).pin
        if pin is None or task.started is not None or task.finished is not None:
            continue
        if places[task.id].start != pin:
            text = (
                f"Task {task.id} is pinned to a time at which it cannot start: what it waits for, "
                "its hours or what it needs do not allow it. It is planned as near after as found."
            )
            missed.append(Problem(task.id, "pin", text))
    return missed
