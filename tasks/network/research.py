"""Reader of single-mode research instances (PSPLIB) in their JSON form.

A file is one object, `{"family": ..., "instances": [...]}`. Of an instance, `name`, `duration` (in
periods, task 1 first) and `successors` (task numbers from 1, for each task) are read here; all
links are finish-to-start without lag. One period is taken as one minute.

Source of the instances: R. Kolisch and A. Sprecher, "PSPLIB - a project scheduling problem
library", European Journal of Operational Research 96, 1997, 205-216.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from tasks.network.calendar import Calendar
from tasks.network.critical_path import schedule
from tasks.network.exceptions import BadFile, NetworkError
from tasks.network.values import Link, Task

__all__ = ["critical_path_length", "instances", "is_research", "read_instance"]


def is_research(content: object) -> bool:
    """Whether parsed JSON has the shape of a research file."""
    return isinstance(content, dict) and "instances" in content


def instances(content: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    """The instances of a research file, in its order.

    Raises
    ------
    BadFile
        If there is no list of named instances.
    """
    rows = content["instances"]
    if not isinstance(rows, list):
        raise BadFile("instances must be a list")
    for position, row in enumerate(rows, start=1):
        if not isinstance(row, dict) or not isinstance(row.get("name"), str):
            raise BadFile(f"instance {position} has no name")
        yield row


def read_instance(instance: Mapping[str, Any]) -> tuple[list[Task], list[Link]]:
    """The tasks (ids from 1) and links of one instance, resources left out.

    Raises
    ------
    BadFile
        If durations and successors are not lists of whole numbers of one length.

    Examples
    --------
    >>> tasks, links = read_instance(
    ...     {"name": "x", "duration": [0, 3, 0], "successors": [[2], [3], []]}
    ... )
    >>> [task.minutes for task in tasks], [(link.before, link.after) for link in links]
    ([0, 3, 0], [(1, 2), (2, 3)])
    """
    name = instance.get("name")
    duration, successors = instance.get("duration"), instance.get("successors")
    if not isinstance(duration, list) or not isinstance(successors, list):
        raise BadFile(f"instance {name}: duration and successors must be lists")
    if len(duration) != len(successors):
        raise BadFile(
            f"instance {name}: {len(duration)} durations, but {len(successors)} rows of successors"
        )
    try:
        tasks = [Task(number, minutes) for number, minutes in enumerate(duration, start=1)]
        links = [
            Link(before, after) for before, row in enumerate(successors, start=1) for after in row
        ]
    except (NetworkError, TypeError) as error:
        raise BadFile(f"instance {name}: {error}") from error
    return tasks, links


def critical_path_length(instance: Mapping[str, Any]) -> int:
    """Length of the longest path in periods, resources ignored.

    Raises
    ------
    BadFile
        As `read_instance`, and if the successors name an unknown task or make a cycle.

    Examples
    --------
    >>> critical_path_length(
    ...     {"name": "x", "duration": [0, 3, 4, 0], "successors": [[2, 3], [4], [4], []]}
    ... )
    4
    """
    tasks, links = read_instance(instance)
    try:
        return schedule(tasks, links, Calendar.always(), now=0).launch
    except NetworkError as error:
        raise BadFile(f"instance {instance.get('name')}: {error}") from error
