"""What can go wrong with a network: one tree.

`BadInput` means that what was given is wrong and must be changed. `NoAnswer` means that it is
well formed, but that no plan of it exists.
"""

from __future__ import annotations

from collections.abc import Sequence

__all__ = [
    "BadCalendar",
    "BadFile",
    "BadInput",
    "BadValue",
    "Cycle",
    "DuplicateTask",
    "NetworkError",
    "NoAnswer",
    "NoShopHours",
    "OutOfShopHours",
    "SelfLink",
    "UnknownTask",
]


class NetworkError(Exception):
    """Anything that `tasks.network` refuses."""


class BadInput(NetworkError):
    """What was given is wrong; the message names the culprit and the rule."""


class BadValue(BadInput, ValueError):
    """A single value that breaks a rule, such as negative minutes."""


class BadCalendar(BadInput, ValueError):
    """Shop hours that cannot be: an unknown zone, an end before its start."""


class BadFile(BadInput, ValueError):
    """A file that is not a network in a known format."""


class DuplicateTask(BadInput, ValueError):
    """Two tasks with one id.

    Attributes: `task`, the id.
    """

    def __init__(self, task: object) -> None:
        super().__init__(f"two tasks have the id {task}")
        self.task = task


class UnknownTask(BadInput, LookupError):
    """A link that names a task which is not in the network.

    Attributes: `task`, the id that was not found.
    """

    def __init__(self, task: object, link: str) -> None:
        super().__init__(f"link {link}: there is no task {task}")
        self.task = task


class SelfLink(BadInput, ValueError):
    """A link from a task to itself.

    Attributes: `task`, the id.
    """

    def __init__(self, task: object) -> None:
        super().__init__(f"task {task} is linked to itself")
        self.task = task


class Cycle(BadInput, ValueError):
    """Tasks that wait for each other in a ring.

    Attributes: `path`, the ids along the ring; the last is the first again.
    """

    def __init__(self, path: Sequence[object]) -> None:
        super().__init__("tasks wait for each other: " + " -> ".join(str(task) for task in path))
        self.path = list(path)


class NoAnswer(NetworkError):
    """The input is sound, but there is no plan of it."""


class NoShopHours(NoAnswer):
    """There is work to place and no shop hour to place it in."""


class OutOfShopHours(NoAnswer):
    """The work runs past the last shop hour there will ever be."""
