"""What can keep a part from being taken off."""

from __future__ import annotations

from collections.abc import Hashable
from typing import ClassVar

__all__ = ["MissingSize", "TakeoffError", "WrongValue"]


class TakeoffError(ValueError):
    """A part or material cannot be counted as it stands.

    ``key`` is the key of the part or material at fault, ``rule`` a stable word for the fault.
    """

    rule: ClassVar[str] = "takeoff"

    def __init__(self, key: Hashable, reason: str) -> None:
        self.key = key
        self.reason = reason
        super().__init__(reason)


class WrongValue(TakeoffError):
    """A value that cannot be: a negative length, no pieces, an odd count of mirrored ones."""

    rule = "wrong-value"


class MissingSize(TakeoffError):
    """A size, weight or coverage that the reckoning needs is not given."""

    rule = "missing-size"
