"""Which heading means what: the columns a kind of list knows, found in a file's headings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from buildlog.lists.cells import Reader
from buildlog.lists.fold import fold

__all__ = ["Column", "Match", "known_in", "match_columns"]

_UNITS = {
    "mm": "mm", "cm": "cm", "m": "m", "in": "in", "inch": "in", "inches": "in", "ft": "ft",
    "feet": "ft", "h": "h", "hr": "h", "hrs": "h", "hours": "h", "min": "min", "mins": "min",
    "minutes": "min", "days": "d", "d": "d", "c": "°C", "f": "°F", "kg m3": "kg/m³",
    "lb ft3": "lb/ft³", "g cm3": "g/cm³", "g m2": "g/m²", "oz yd2": "oz/yd²", "%": "%",
}  # fmt: skip
"""Units that may end a heading, folded."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column that a kind of list knows.

    `key` names it in the program, `label` on the page, `heading` in the lists that go out; `names`
    are the other headings under which builders keep it. `fallback` is what a blank cell means.
    """

    key: str
    label: str
    heading: str
    reader: Reader
    names: tuple[str, ...] = ()
    needed: bool = False
    fallback: Any = None
    money: bool = False
    folded: frozenset[str] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        every = {fold(name) for name in (self.heading, self.label, *self.names)}
        bare = {_without_unit(name)[0] for name in every}
        object.__setattr__(self, "folded", frozenset(every | bare))


@dataclass(frozen=True, slots=True)
class Match:
    """A column found in the file: where it stands, its heading there, the unit it names."""

    column: Column
    index: int
    heading: str
    unit: str = ""


def _without_unit(folded: str) -> tuple[str, str]:
    for words in (2, 1):
        head = folded.split(" ")
        tail = " ".join(head[-words:])
        if len(head) > words and tail in _UNITS:
            return " ".join(head[:-words]), _UNITS[tail]
    return folded, ""


def _score(folded: str, column: Column) -> int:
    bare = _without_unit(folded)[0]
    if folded in column.folded:
        return 1000
    if bare in column.folded:
        return 900
    words = f" {folded} "
    inside = [name for name in column.folded if len(name) > 2 and f" {name} " in words]
    return max((10 * name.count(" ") + len(name) for name in inside), default=0)


def known_in(columns: Iterable[Column]) -> frozenset[str]:
    """Every heading, folded, that these columns go by."""
    return frozenset(name for column in columns for name in column.folded)


def is_known(known: frozenset[str], heading: str) -> bool:
    """Whether a heading is one of those known, with or without a unit behind it."""
    folded = fold(heading)
    return folded in known or _without_unit(folded)[0] in known


def match_columns(
    headings: Sequence[str], columns: Sequence[Column], chosen: Mapping[int, str] | None = None
) -> list[Match]:
    """Give each heading the column it means, each column once.

    Parameters
    ----------
    headings
        The file's headings, in its order.
    columns
        What the kind of list knows.
    chosen
        What the builder said: index of heading to key of column, or to "" to leave it out.

    Returns
    -------
    list of Match
        In the file's order. Headings that mean nothing here are not in it.

    Notes
    -----
    A heading that is exactly one of a column's names goes first, then one that is with its unit
    taken off (“length mm”), then one that holds a name among other words (“planned hours”).
    """
    chosen = chosen or {}
    by_key = {column.key: column for column in columns}
    taken: dict[int, Column] = {}
    for index, key in chosen.items():
        if key in by_key and index < len(headings) and by_key[key] not in taken.values():
            taken[index] = by_key[key]
    scores = [
        (-_score(fold(heading), column), place, index, column)
        for index, heading in enumerate(headings)
        if heading and index not in chosen
        for place, column in enumerate(columns)
    ]
    for score, _, index, column in sorted(scores, key=lambda entry: entry[:3]):
        if score < 0 and index not in taken and column not in taken.values():
            taken[index] = column
    return [
        Match(column, index, headings[index] or f"column {index + 1}",
              _without_unit(fold(headings[index]))[1])
        for index, column in sorted(taken.items())
    ]  # fmt: skip
