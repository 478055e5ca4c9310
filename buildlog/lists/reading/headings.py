"""Where the table begins, and which rows are none of it."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from buildlog.lists.reading.errors import Refused
from buildlog.lists.reading.table import MOST_COLUMNS, Raw, Row, Skipped, Table

__all__ = ["find_header", "table_of"]

_LOOK_IN = 40
_TOTALS = re.compile(r"(grand |sub)?-?\s?(totals?|sum)( so far| hours?)?\s*[:=]?", re.I)
_NUMBERISH = re.compile(r"[-+(]?\s?[^\w\s]?\s?\d[\d.,' ]*\)?\s?\S{0,6}")


def find_header(rows: Sequence[Row], known: Callable[[str], bool]) -> int:
    """The number of the heading row.

    It is the row near the top with the most headings that are `known`; where none has two (or
    its only cell known), the first row that is filled as wide as the table is.

    Raises
    ------
    Refused
        Nothing in the file.
    """
    near = [row for row in rows if not row.blank][:_LOOK_IN]
    if not near:
        raise Refused("The file is empty.")
    counts = [sum(1 for cell in row.cells if cell and known(cell)) for row in near]
    best = max(range(len(near)), key=lambda i: counts[i])
    if counts[best] >= 2 or (counts[best] == 1 and len(near[best].cells) == 1):
        return near[best].number
    filled = [sum(1 for cell in row.cells if cell) for row in near]
    return near[filled.index(max(filled))].number


def table_of(raw: Raw, known: Callable[[str], bool], header_row: int | None = None) -> Table:
    """The table in a file's rows: headings, rows, and what was passed over and why.

    Parameters
    ----------
    raw
        All rows of the file.
    known
        Whether a text is a heading that somebody here would understand.
    header_row
        The number of the heading row where the builder said so.

    Raises
    ------
    Refused
        Nothing in the file, or no such row.
    """
    number = header_row or find_header(raw.rows, known)
    header = next((row for row in raw.rows if row.number == number), None)
    if header is None or header.blank:
        raise Refused(f"Row {number} of the file has no headings.")
    rows: list[Row] = []
    skipped: list[Skipped] = []
    for row in raw.rows:
        why = _why_skipped(row, header)
        if why:
            skipped.append(Skipped(row.number, why, _shown(row)))
        elif row.number != number:
            rows.append(row)
    width = max([len(header.cells), *(len(row.cells) for row in rows)])
    headings = tuple(header.cells) + ("",) * (width - len(header.cells))
    while len(headings) > len(header.cells) and not any(
        len(row.cells) >= len(headings) and row.cells[len(headings) - 1] for row in rows
    ):
        headings = headings[:-1]
    return Table(raw, number, headings[:MOST_COLUMNS], _padded(rows, len(headings)), tuple(skipped))


def _padded(rows: list[Row], width: int) -> tuple[Row, ...]:
    return tuple(
        Row(row.number, row.cells + ("",) * (width - len(row.cells)))
        if len(row.cells) < width
        else row
        for row in rows
    )


def _why_skipped(row: Row, header: Row) -> str:
    if row.number == header.number:
        return ""
    if row.blank:
        return "blank"
    if row.number < header.number:
        return "above the headings"
    if row.cells == header.cells:
        return "the headings again"
    if _is_total(row):
        return "a total, not a row of the list"
    return ""


def _is_total(row: Row) -> bool:
    """One cell that says total, and beside it nothing but numbers."""
    filled = [cell for cell in row.cells if cell]
    said = [cell for cell in filled if _TOTALS.fullmatch(cell)]
    return len(said) == 1 and all(
        _NUMBERISH.fullmatch(cell) for cell in filled if cell is not said[0]
    )


def _shown(row: Row) -> str:
    return " · ".join(cell for cell in row.cells if cell)[:120]
