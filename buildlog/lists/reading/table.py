"""A table as it was found in a file: its heading row, its rows, and what was passed over."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["MOST_COLUMNS", "MOST_ROWS", "Raw", "Row", "Skipped", "Table", "Typed"]

MOST_ROWS = 20_000
MOST_COLUMNS = 60
LONGEST_CELL = 60_000


class Typed(str):
    """The text of a cell that the spreadsheet itself held as a number, a date or yes/no.

    Its decimal mark is a point, its dates are ISO 8601: nothing about it is open.
    """

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Row:
    """One row. `number` counts from 1 as a spreadsheet does, blank rows included."""

    number: int
    cells: tuple[str, ...]

    @property
    def blank(self) -> bool:
        return not any(cell.strip() for cell in self.cells)


@dataclass(frozen=True, slots=True)
class Skipped:
    """A row that is no row of the table, with the reason."""

    number: int
    why: str
    text: str

    @property
    def expected(self) -> bool:
        """Whether anybody would pass it over: it is blank, or a title."""
        return self.why in ("blank", "above the headings")


@dataclass(frozen=True, slots=True)
class Raw:
    """Every row of a file, before it is known which of them are what.

    `form` is csv or xlsx. For csv, `encoding` and `delimiter` say how it was read; for xlsx,
    `sheets` are the names of all sheets and `sheet` is the one that was read.
    """

    form: str
    rows: tuple[Row, ...]
    encoding: str = ""
    delimiter: str = ""
    sheets: tuple[str, ...] = ()
    sheet: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """The table in a file. Every row has as many cells as there are headings, or more if the
    file has filled cells to the right of the last heading."""

    raw: Raw
    header_row: int
    headings: tuple[str, ...]
    rows: tuple[Row, ...]
    skipped: tuple[Skipped, ...]

    def column(self, index: int) -> list[str]:
        """The filled cells of one column, top to bottom."""
        return [row.cells[index] for row in self.rows if row.cells[index]]
