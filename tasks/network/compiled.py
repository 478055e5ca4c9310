"""Tasks and links turned into numbered rows, checked across, in an order that passes can walk."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from tasks.network.exceptions import DuplicateTask, UnknownTask
from tasks.network.graph import refuse_cycle, topological_order
from tasks.network.values import LagIn, Link, LinkKind, Task, TaskId

__all__ = ["CURED", "FINISH", "START", "Compiled", "Hold"]

#: The three moments of a task that a link can count from.
START, FINISH, CURED = range(3)


class Hold(NamedTuple):
    """One link between two numbered tasks, the second of them unfinished.

    `link` is its index. `event` is the moment of the task before that the link counts from;
    `at_finish` says that it holds the finish of the task after, else its start (or the one moment
    of a point in time). `shop` and `elapsed` are the lag, at most one of them not 0. `by_clock`
    says that elapsed time is waited for, so that a finish must not be shown earlier.
    """

    link: int
    before: int
    after: int
    event: int
    at_finish: bool
    shop: int
    elapsed: int
    by_clock: bool


class Compiled:
    """A network by task number.

    Parameters
    ----------
    tasks, links
        The network. Links into finished tasks are checked, then left out: they hold nothing.

    Raises
    ------
    DuplicateTask, UnknownTask, Cycle
        If the tasks and links do not make a network.
    """

    def __init__(self, tasks: Sequence[Task], links: Sequence[Link]) -> None:
        self.tasks = tasks
        self.links = links
        self.work = [task.work for task in tasks]
        self.numbers = _number(tasks)
        self.incoming: list[list[Hold]] = [[] for _ in tasks]
        self.outgoing: list[list[Hold]] = [[] for _ in tasks]
        successors: list[list[int]] = [[] for _ in tasks]
        for index, link in enumerate(links):
            try:
                before, after = self.numbers[link.before], self.numbers[link.after]
            except KeyError as error:
                raise UnknownTask(error.args[0], str(link)) from None
            successors[before].append(after)
            if tasks[after].finished is None:
                hold = self._hold(index, link, before, after)
                self.incoming[after].append(hold)
                self.outgoing[before].append(hold)
        self.order = topological_order(successors)
        refuse_cycle(list(self.numbers), successors, self.order)

    def _hold(self, index: int, link: Link, before: int, after: int) -> Hold:
        if link.kind in (LinkKind.SS, LinkKind.SF):
            event = START
        elif self.tasks[before].cure and link.waits_for_cure:
            event = CURED
        else:
            event = FINISH
        elapsed = link.lag_in is LagIn.ELAPSED
        return Hold(
            link=index,
            before=before,
            after=after,
            event=event,
            at_finish=link.kind in (LinkKind.FF, LinkKind.SF) and self.work[after] > 0,
            shop=0 if elapsed else link.lag,
            elapsed=link.lag if elapsed else 0,
            by_clock=elapsed if link.lag else event == CURED,
        )


def _number(tasks: Sequence[Task]) -> dict[TaskId, int]:
    numbers: dict[TaskId, int] = {}
    for number, task in enumerate(tasks):
        if numbers.setdefault(task.id, number) != number:
            raise DuplicateTask(task.id)
    return numbers
