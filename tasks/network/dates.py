"""The dates of many tasks, kept as columns and read as rows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from typing import Any

from numpy.typing import NDArray

from tasks.network.values import Link, TaskDates, TaskId

__all__ = ["Dates"]


class Dates(Mapping[TaskId, TaskDates]):
    """`TaskDates` by task id, in the order in which the tasks were given.

    Parameters
    ----------
    ids
        The tasks.
    links
        The links that `driving` counts in.
    columns
        An array for each field of `TaskDates`, one element a task. `driving` holds positions in
        `links`, or -1.

    Notes
    -----
    A row is made when it is asked for. Who needs one figure of thousands of tasks takes its column.
    """

    def __init__(
        self, ids: Sequence[TaskId], links: Sequence[Link], columns: Mapping[str, NDArray[Any]]
    ) -> None:
        self._ids, self._links, self._columns = ids, links, columns

    def column(self, name: str) -> NDArray[Any]:
        """One field of all tasks: clock minutes, shop minutes, truths or positions of links."""
        return self._columns[name]

    def __getitem__(self, id: TaskId) -> TaskDates:
        *dates, driving, critical, in_pieces = self._values[id]
        early_start, early_finish, cured, late_start, late_finish, total, free = dates
        return TaskDates(
            early_start=early_start,
            early_finish=early_finish,
            cured=cured,
            late_start=late_start,
            late_finish=late_finish,
            total_float=total,
            free_float=free,
            driving=self._links[driving] if driving >= 0 else None,
            critical=critical,
            in_pieces=in_pieces,
        )

    def __iter__(self) -> Iterator[TaskId]:
        return iter(self._ids)

    def __len__(self) -> int:
        return len(self._ids)

    @cached_property
    def _values(self) -> dict[TaskId, tuple[Any, ...]]:
        names = TaskDates.__dataclass_fields__
        rows = zip(*(self._columns[name].tolist() for name in names), strict=True)
        return dict(zip(self._ids, rows, strict=True))
