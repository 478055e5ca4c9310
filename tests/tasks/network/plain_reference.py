"""The rules of a plan, read off minute by minute, with none of the planner's methods.

Dates are found by trying every minute of a short horizon, so only small networks are practical.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tasks.network import LagIn, Link, LinkKind, Task

HORIZON = 4000


class PlainHours:
    """Shop hours as one flag a minute; counted from clock minute 0."""

    def __init__(self, stretches: Sequence[tuple[int, int]]) -> None:
        self.open = [False] * (HORIZON + 1)
        for start, end in stretches:
            for minute in range(max(start, 0), min(end, HORIZON)):
                self.open[minute] = True
        self.passed = [0]
        for flag in self.open:
            self.passed.append(self.passed[-1] + flag)
        self.first_with: dict[int, int] = {}
        for clock, passed in enumerate(self.passed[:-1]):
            self.first_with.setdefault(passed, clock)

    def shop(self, clock: int) -> int:
        return self.passed[min(max(clock, 0), HORIZON)]

    def can_start(self, clock: int) -> bool:
        return 0 <= clock < HORIZON and self.open[clock]

    def can_finish(self, clock: int) -> bool:
        return 0 < clock <= HORIZON and self.open[clock - 1]

    def finish_of(self, start: int, work: int) -> int | None:
        """The clock minute at which `work` shop minutes after `start` are done."""
        return self.first_with.get(self.passed[start] + work)

    def is_one_stretch(self, start: int, finish: int) -> bool:
        return self.passed[finish] - self.passed[start] == finish - start


Place = tuple[int, int]


def places(task: Task, hours: PlainHours, now: int, *, backwards: bool = False) -> Iterator[Place]:
    """Every (start of what is left, finish) of an unfinished task, earliest or latest first."""
    floor = now
    if task.started is None and task.not_before is not None:
        floor = max(now, task.not_before)
    minutes = range(floor, HORIZON)
    for start in reversed(minutes) if backwards else minutes:
        if not task.work:
            yield start, start
        elif hours.can_start(start):
            finish = hours.finish_of(start, task.work)
            if finish is not None and (not task.unbroken or hours.is_one_stretch(start, finish)):
                yield start, finish


def actual(task: Task) -> Place:
    assert task.finished is not None
    return (task.finished if task.started is None else task.started, task.finished)


def holds(
    link: Link, before: Task, first: Place, after: Task, second: Place, hours: PlainHours
) -> bool:
    """Whether a link is kept by two places."""
    if after.finished is not None:
        return True
    cure = 0
    if link.kind in (LinkKind.FS, LinkKind.FF):
        cure = before.cure if link.waits_for_cure else 0
        begin = first[1] + cure
    else:
        begin = first[0] if before.started is None else before.started
    held_at_finish = link.kind in (LinkKind.FF, LinkKind.SF)
    held = second[1] if held_at_finish else second[0]
    if link.lag and link.lag_in is LagIn.SHOP:
        return hours.shop(held) - hours.shop(begin) >= link.lag
    if link.lag or (cure and held_at_finish):
        return held >= begin + link.lag
    if not after.work:
        return held >= begin
    return hours.shop(held) >= hours.shop(begin)


def early_places(
    tasks: Sequence[Task], links: Sequence[Link], hours: PlainHours, now: int
) -> dict[object, Place]:
    """The first place of each task that keeps all links; `tasks` are in order."""
    by_id = {task.id: task for task in tasks}
    placed: dict[object, Place] = {}
    for task in tasks:
        if task.finished is not None:
            placed[task.id] = actual(task)
            continue
        into = [link for link in links if link.after == task.id]
        placed[task.id] = next(
            place
            for place in places(task, hours, now)
            if all(
                holds(link, by_id[link.before], placed[link.before], task, place, hours)
                for link in into
            )
        )
    return placed


def latest_place(
    task: Task,
    links: Sequence[Link],
    by_id: dict[object, Task],
    others: dict[object, Place],
    launch: int,
    hours: PlainHours,
    now: int,
) -> Place:
    """The last place that keeps the launch and the places of the successors."""
    out = [link for link in links if link.before == task.id]
    return next(
        place
        for place in places(task, hours, now, backwards=True)
        if place[1] + task.cure <= launch
        and all(
            holds(link, task, place, by_id[link.after], others[link.after], hours) for link in out
        )
    )


def late_places(
    tasks: Sequence[Task], links: Sequence[Link], launch: int, hours: PlainHours, now: int
) -> dict[object, Place]:
    by_id: dict[object, Task] = {task.id: task for task in tasks}
    placed: dict[object, Place] = {}
    for task in reversed(tasks):
        if task.finished is not None:
            placed[task.id] = actual(task)
        else:
            placed[task.id] = latest_place(task, links, by_id, placed, launch, hours, now)
    return placed
