"""Rows of a list as they are understood: values, faults, and what they will do to the build."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

__all__ = ["Fault", "Record", "State"]


class State(StrEnum):
    """What bringing a row in does."""

    NEW = "new"
    CHANGED = "changed"
    UNCHANGED = "as it is"
    ASKED = "asked"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a row.

    `row` is its number in the file, `column` the heading there, `text` what the cell says, and
    `rule` a stable word for the rule that it breaks; `message` is for people.
    """

    row: int
    column: str
    rule: str
    message: str
    text: str = ""


@dataclass(slots=True)
class Record:
    """One row. `values` has each column that the file has; a blank cell is its fallback.

    `target`, and `also` beside it, are for the kind of list: what the row stands for in the build.
    `changes` names the columns that differ from what the build has. `asked` is set while a cell may
    mean two things and nobody has said which.
    """

    number: int
    cells: Mapping[str, str]
    headings: Mapping[str, str]
    values: dict[str, Any] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    changes: list[str] = field(default_factory=list)
    outcome: State = State.NEW
    target: Any = None
    also: Any = None
    asked: bool = False

    @property
    def good(self) -> bool:
        return not self.faults and not self.asked

    @property
    def state(self) -> State:
        if self.faults:
            return State.REFUSED
        return State.ASKED if self.asked else self.outcome

    def has(self, key: str) -> bool:
        """Whether the file has that column and its cell could be read."""
        return key in self.values

    def get(self, key: str, default: Any = None) -> Any:
        value = self.values.get(key)
        return default if value is None else value

    def refuse(self, key: str, rule: str, message: str) -> None:
        """Say what is wrong, at the column of that key."""
        self.faults.append(
            Fault(self.number, self.headings.get(key, key), rule, message, self.cells.get(key, ""))
        )
