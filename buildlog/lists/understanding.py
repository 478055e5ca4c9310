"""A table and what its columns mean, to records: each cell read, each fault named.

No Django and no database: what the build already has is looked up later, by the kind of list.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from buildlog.lists.answers import Answers
from buildlog.lists.cells import Terms, Text
from buildlog.lists.columns import Column, Match, match_columns
from buildlog.lists.reading import Table, Typed
from buildlog.lists.records import Fault, Record
from buildlog.units import AmbiguousDate, UnitError, detect_date_order, detect_decimal

__all__ = ["Open", "Understanding", "understand"]

_NOTHING = frozenset(("-", "–", "—", "n/a", "N/A", "#N/A"))


@dataclass(frozen=True, slots=True)
class Open:
    """A question that the file leaves open and that must be answered before anything is read in.

    `about` is decimal, order, column or name; `key` the column's key or the name; `example` a
    cell that may mean two things, in row `row`; `readings` what it may mean.
    """

    about: str
    key: str
    heading: str
    row: int
    example: str
    message: str
    readings: tuple[str, ...] = ()


@dataclass(slots=True)
class Understanding:
    """A file as it is understood."""

    table: Table
    matches: list[Match]
    terms: dict[str, Terms]
    records: list[Record]
    open: list[Open] = field(default_factory=list)
    bare: dict[str, int] = field(default_factory=dict)

    def has(self, key: str) -> bool:
        return any(match.column.key == key for match in self.matches)

    def heading(self, key: str) -> str:
        return next((m.heading for m in self.matches if m.column.key == key), key)

    @property
    def faults(self) -> list[Fault]:
        return [fault for record in self.records for fault in record.faults]


def understand(
    table: Table, columns: Sequence[Column], answers: Answers, *, length_unit: str = "mm"
) -> Understanding:
    """Read every cell of a table.

    Parameters
    ----------
    table
        As found in the file.
    columns
        What the kind of list knows.
    answers
        What the builder has said so far.
    length_unit
        The unit of bare lengths where neither heading nor builder gives one.

    Returns
    -------
    Understanding
        With a record for each row; one that cannot be read has its faults, one that may be read
        in two ways has none but is named in `open`. `bare` counts, for each column of lengths, the
        cells that gave no unit.
    """
    matches = match_columns(table.headings, columns, answers.chosen)
    terms = _terms(table, matches, answers, length_unit)
    headings = {match.column.key: match.heading for match in matches}
    used = {match.index for match in matches}
    spare = _spilled(table, used)
    found = Understanding(table, matches, terms, [])
    for row in table.rows:
        cells = {match.column.key: row.cells[match.index] for match in matches}
        record = Record(row.number, cells, headings)
        for index in spare:
            if index < len(row.cells) and row.cells[index]:
                record.faults.append(
                    Fault(row.number, f"column {index + 1}", "more-cells",
                          "has more cells than there are headings: is a cell with a comma or "
                          "semicolon in it missing its quotation marks?", row.cells[index])
                )  # fmt: skip
        found.records.append(record)
    for match in matches:
        _read_column(found, match)
    for column in columns:
        if column.needed and column.key not in headings:
            found.open.append(
                Open("column", column.key, column.label, table.header_row, "",
                     f"Which column is “{column.label}”? No heading of the file says so.")
            )  # fmt: skip
    return found


def _terms(
    table: Table, matches: list[Match], answers: Answers, length_unit: str
) -> dict[str, Terms]:
    order = answers.order or detect_date_order(
        cell
        for match in matches
        if match.column.reader.kind == "date"
        for cell in table.column(match.index)
    )
    found = {}
    for match in matches:
        key, kind = match.column.key, match.column.reader.kind
        default = length_unit if kind == "length" else ""
        decimal = answers.decimals.get(key) or (
            detect_decimal(_written(table.column(match.index)))
            if kind in ("number", "hours", "length")
            else None
        )
        found[key] = Terms(
            unit=answers.units.get(key) or match.unit or default,
            decimal=decimal or None,  # type: ignore[arg-type]
            order=order or None,  # type: ignore[arg-type]
        )
    return found


def _written(cells: list[str]) -> set[str]:
    """The cells that may tell the decimal mark: written by hand, and with a mark in them."""
    return {cell for cell in cells if not isinstance(cell, Typed) and ("," in cell or "." in cell)}


def _spilled(table: Table, used: set[int]) -> list[int]:
    """Columns without a heading that only a few rows reach into: cells gone astray."""
    return [
        index
        for index, heading in enumerate(table.headings)
        if not heading and index not in used and 2 * len(table.column(index)) < len(table.rows)
    ]


def _read_column(found: Understanding, match: Match) -> None:
    column, terms = match.column, found.terms[match.column.key]
    read: dict[str, Any] = {}
    reader = column.reader
    # A dash stands for an empty cell where words are not what is looked for.
    blanks = _NOTHING if not isinstance(reader, Text) or reader.refers else frozenset[str]()
    for record in found.records:
        cell = record.cells[column.key]
        if not cell or cell in blanks:
            if column.needed:
                record.refuse(
                    column.key, "needed", f"{column.label} is needed, and the cell is empty."
                )
            else:
                record.values[column.key] = column.fallback
            continue
        if isinstance(cell, Typed):
            outcome = _outcome(column, cell, terms.typed())
        elif cell in read:
            outcome = read[cell]
        else:
            outcome = read[cell] = _outcome(column, cell, terms)
        if column.reader.kind == "length" and cell[-1].isnumeric():
            found.bare[column.key] = found.bare.get(column.key, 0) + 1
        if not isinstance(outcome, UnitError):
            record.values[column.key] = outcome
        elif outcome.rule in ("ambiguous-number", "ambiguous-date"):
            _ask(found, match, record, outcome)
        else:
            record.refuse(column.key, outcome.rule, str(outcome))


def _outcome(column: Column, cell: str, terms: Terms) -> Any:
    try:
        return column.reader(cell, terms)
    except UnitError as error:
        return error


def _ask(found: Understanding, match: Match, record: Record, error: UnitError) -> None:
    record.asked = True
    key = match.column.key
    about = "order" if isinstance(error, AmbiguousDate) else "decimal"
    if any(o.about == about and (about == "order" or o.key == key) for o in found.open):
        return
    readings: tuple[str, ...] = ()
    if isinstance(error, AmbiguousDate):
        readings = tuple(f"{day:%A} {day.day} {day:%B %Y}" for day in error.readings)
    found.open.append(
        Open(about, key, match.heading, record.number, record.cells[key], str(error), readings)
    )
