"""Rings: a link that would make tasks wait for each other is refused with its path named."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from tasks import network

if TYPE_CHECKING:
    from tasks.models import Task

__all__ = ["ring_closed_by", "ring_words"]


def ring_closed_by(before: Task, after: Task) -> list[Task] | None:
    """The tasks along the ring that a link from one task to another would close, if any.

    It begins and ends with the task after. Two queries.
    """
    pairs = before.build.links.values_list("before_id", "after_id")
    path = network.would_close(
        [network.Link(one, other) for one, other in pairs], network.Link(before.pk, after.pk)
    )
    if path is None:
        return None
    tasks = before.build.tasks.in_bulk(path)
    return [tasks[pk] for pk in path]


def ring_words(ring: Sequence[Task]) -> str:
    """Why it is refused, with the path by number and name."""
    return (
        "That would make a ring, in which each task waits for the one before: "
        + " → ".join(str(task) for task in ring)
        + ". Take one of those links away first, or link them the other way round."
    )
