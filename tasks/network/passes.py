"""The two walks through a network: as early as possible, and as late as the launch allows.

What must be waited for is carried as a clock minute, since elapsed time may end while the shop is
closed; work is placed by shop minute. The two walks mirror each other: what `_latest` allows a
task is the last moment from which `_earliest` would still keep its successors to given dates.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tasks.network.calendar import Calendar
from tasks.network.compiled import CURED, FINISH, Compiled, Hold

__all__ = ["Early", "Late", "free", "walk_backward", "walk_forward"]

_NEVER = -(2**60)


@dataclass(slots=True)
class Early:
    """Early dates by task number, in clock minutes.

    `resume` is where the work still to be done begins: the start, for what is not started.
    `driving` is an index into the links, or -1. `in_pieces` are unbroken tasks too long for any
    stretch.
    """

    start: list[int]
    resume: list[int]
    finish: list[int]
    cured: list[int]
    driving: list[int]
    in_pieces: set[int]


@dataclass(slots=True)
class Late:
    """Late dates by task number, in clock minutes; `resume` as in `Early`."""

    resume: list[int]
    finish: list[int]


def walk_forward(network: Compiled, calendar: Calendar, now: int) -> Early:
    """The early dates of every task."""
    count = len(network.tasks)
    early = Early([0] * count, [0] * count, [0] * count, [0] * count, [-1] * count, set())
    for number in network.order:
        task = network.tasks[number]
        if task.finished is None:
            resume, finish = _earliest(network, calendar, now, early, number)
            start = resume if task.started is None else task.started
        else:
            resume = finish = task.finished
            start = finish if task.started is None else task.started
        early.start[number], early.resume[number] = start, resume
        early.finish[number], early.cured[number] = finish, finish + task.cure
    return early


def walk_backward(network: Compiled, calendar: Calendar, early: Early, launch: int) -> Late:
    """The late dates of every task that keep the launch; of finished ones, the actual dates."""
    late = Late(list(early.resume), list(early.finish))
    for number in reversed(network.order):
        if network.tasks[number].finished is None:
            late.resume[number], late.finish[number] = _latest(
                network, calendar, early, number, launch, late.resume, late.finish
            )
    return late


def free(network: Compiled, calendar: Calendar, early: Early, launch: int) -> list[int]:
    """How late each task can resume while its successors keep their early dates."""
    return [
        early.resume[number]
        if task.finished is not None
        else _latest(network, calendar, early, number, launch, early.resume, early.finish)[0]
        for number, task in enumerate(network.tasks)
    ]


def _earliest(
    network: Compiled, calendar: Calendar, now: int, early: Early, number: int
) -> tuple[int, int]:
    """The early resume and finish of an unfinished task; enters its driving link."""
    task, work = network.tasks[number], network.work[number]
    floor = now
    if task.started is None and task.not_before is not None and task.not_before > now:
        floor = task.not_before
    moments = (early.start, early.finish, early.cured)
    clock, driving, least, finish_driving = _NEVER, -1, _NEVER, -1
    for index, before, _, event, at_finish, shop, elapsed, by_clock in network.incoming[number]:
        reached = moments[event][before] + elapsed
        if shop:
            reached = calendar.clock_at_finish(calendar.shop_at(reached) + shop)
        if at_finish:
            place = calendar.first_finish_from(reached) if by_clock else calendar.shop_at(reached)
            if place > least:
                least, finish_driving = place, index
        elif reached > clock:
            clock, driving = reached, index
    if clock < floor or (clock == floor and _is_done(network, driving)):
        clock, driving = floor, -1
    if not work:
        early.driving[number] = driving
        return clock, clock
    place = calendar.shop_at(clock)
    if least - work > place:
        place, driving = least - work, finish_driving
    early.driving[number] = driving
    if task.unbroken:
        fitting = calendar.fit_after(place, work)
        if fitting is None:
            early.in_pieces.add(number)
        else:
            place = fitting
    return calendar.clock_at_start(place), calendar.clock_at_finish(place + work)


def _is_done(network: Compiled, index: int) -> bool:
    return network.tasks[network.numbers[network.links[index].before]].finished is not None


def _latest(
    network: Compiled,
    calendar: Calendar,
    early: Early,
    number: int,
    launch: int,
    resume: Sequence[int],
    finish: Sequence[int],
) -> tuple[int, int]:
    """The latest resume and finish of an unfinished task that keep its successors' dates."""
    task, work = network.tasks[number], network.work[number]
    finish_by, start_by = launch - task.cure, None
    for hold in network.outgoing[number]:
        clock = _let_through(calendar, hold, resume[hold.after], finish[hold.after])
        if hold.event == FINISH:
            finish_by = min(finish_by, clock)
        elif hold.event == CURED:
            finish_by = min(finish_by, clock - task.cure)
        elif task.started is None:
            start_by = clock if start_by is None else min(start_by, clock)
    if not work:
        point = finish_by if start_by is None else min(start_by, finish_by)
        return point, point
    place = calendar.shop_at(finish_by) - work
    if start_by is not None:
        place = min(place, calendar.last_start_by(start_by))
    if task.unbroken and number not in early.in_pieces:
        # There is one: the early dates fit, and they are no later than these.
        fitting = calendar.fit_before(place, work)
        place = place if fitting is None else fitting
    return calendar.clock_at_start(place), calendar.clock_at_finish(place + work)


def _let_through(calendar: Calendar, hold: Hold, resume: int, finish: int) -> int:
    """The last moment of the task before from which the task after keeps its dates."""
    if hold.by_clock and hold.at_finish:
        return finish - hold.elapsed
    if hold.at_finish:
        return calendar.clock_at_start(calendar.shop_at(finish) - hold.shop)
    if hold.shop:
        return calendar.clock_at_start(calendar.shop_at(resume) - hold.shop)
    return resume - hold.elapsed
