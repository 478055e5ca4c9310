"""What room each task has in a plan with limited hands, and in which minutes it is worked on."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, replace

from tasks.network.hands.ground import Ground, Own, TooShort, compile_ground
from tasks.network.hands.line import Laid, Line
from tasks.network.hands.orders import keep_waits
from tasks.network.hands.values import HandsPlan, HandsProblem
from tasks.network.table import NEVER
from tasks.network.values import TaskId
from tasks.network.week import DAY, Stretch

__all__ = ["Room", "room_of"]


@dataclass(frozen=True, slots=True)
class Room:
    """The room of one unfinished task, in clock minutes.

    Attributes
    ----------
    late_start, late_finish
        Where it lies when everything is done as late as the launch allows. `late_start` is of
        what is left of the work.
    spare
        Own minutes between its finish and its late finish; 0 if a delay moves the launch.
    pieces
        The stretches in which it is worked on, in the plan itself.
    """

    late_start: int
    late_finish: int
    spare: int
    pieces: tuple[Stretch, ...]


def room_of(problem: HandsProblem, plan: HandsPlan) -> dict[TaskId, Room]:
    """The room of every unfinished task in a plan of this problem.

    The tasks are laid out once more, backward from the launch, in the order in which they finish:
    each as late as links, hours, hands and pins allow when those after it are late too. It is what
    the backward pass is to a plan with endless hands. No task lies before its place in the plan.

    Raises
    ------
    Cycle, NoShopHours
        If there can be no plan of this problem.
    """
    unplaced = frozenset(one.task for one in plan.problems if one.rule == "hours")
    ground = compile_ground(problem, max(plan.launch - problem.now, 0) + 2 * DAY, unplaced)
    places = [plan.places[task.id] for task in ground.tasks]
    finishes = [place.finish for place in places]
    back = sorted(range(ground.count), key=lambda rank: (finishes[rank], rank), reverse=True)
    late = _laid_late(ground, plan, keep_waits(back, ground.after, ground.before), finishes)
    rooms = {}
    for rank, (task, place) in enumerate(zip(ground.tasks, places, strict=True)):
        own = ground.forward.rows[rank].own
        start, finish = place.resume, place.finish
        if late is not None:
            start, finish = max(-late.finishes[rank], start), -late.starts[rank]
        spare = own.table.shop_at(finish) - own.table.shop_at(place.finish)
        if not task.work:
            spare = finish - place.finish
        pieces = _pieces(own, place.resume, task.work)
        rooms[task.id] = Room(start, finish, max(spare, 0), pieces)
    return rooms


def _laid_late(
    ground: Ground, plan: HandsPlan, back: list[int], finishes: list[int]
) -> Laid | None:
    """The plan laid out backward, no task before its place in it; None if that cannot be.

    A task that is pinned stays where it is. So does one that would come to lie before its place:
    what else is late must leave room for it there.
    """
    stays = {rank for _, rank in ground.forward.pins}
    while True:
        pins = sorted((-finishes[rank], rank) for rank in stays)
        try:
            late = Line(replace(ground.backward, pins=pins)).lay(back, -plan.launch)
        except TooShort:
            return None
        early = {rank for rank, start in enumerate(late.starts) if -start < finishes[rank]}
        if early <= stays:
            return None if early or late.late else late
        stays |= early


def _pieces(own: Own, resume: int, work: int) -> tuple[Stretch, ...]:
    """The stretches that so much work takes of a task's own hours from a clock minute on."""
    stretches = own.table.stretches
    at = max(bisect_right(stretches, (resume, 2 * NEVER)) - 1, 0)
    pieces = []
    while work > 0 and at < len(stretches):
        start, end = max(stretches[at][0], resume), stretches[at][1]
        if start < end:
            taken = min(work, end - start)
            pieces.append((start, start + taken))
            work -= taken
        at += 1
    return tuple(pieces)
