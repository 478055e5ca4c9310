"""Files to tables: bytes in, rows of text out. No Django, no database.

What a column means is none of its business: it finds the encoding, the delimiter, the sheet, the
heading row and the rows that are no rows (titles, blanks, totals), and keeps their numbers as
the builder sees them.
"""

from __future__ import annotations

from collections.abc import Callable

from buildlog.lists.reading.delimited import DELIMITERS, find_delimiter, read_delimited
from buildlog.lists.reading.encodings import ENCODINGS, decode
from buildlog.lists.reading.errors import Refused
from buildlog.lists.reading.headings import table_of
from buildlog.lists.reading.table import MOST_COLUMNS, MOST_ROWS, Raw, Row, Skipped, Table, Typed
from buildlog.lists.reading.workbook import is_workbook, read_workbook

__all__ = [
    "DELIMITERS",
    "ENCODINGS",
    "MOST_BYTES",
    "MOST_COLUMNS",
    "MOST_ROWS",
    "Raw",
    "Refused",
    "Row",
    "Skipped",
    "Table",
    "Typed",
    "read_raw",
    "read_table",
]

MOST_BYTES = 10 * 1024 * 1024

_OTHER_FORMATS = (
    (b"PK\x03\x04", "a packed file or another program's document"),
    (b"\xd0\xcf\x11\xe0", "an old kind of spreadsheet or document"),
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
)


def read_raw(
    content: bytes,
    known: Callable[[str], bool] | None = None,
    *,
    encoding: str = "",
    delimiter: str = "",
    sheet: str = "",
) -> Raw:
    """Every row of a CSV or XLSX file, as text. What it is shows in its bytes, not its name.

    Parameters
    ----------
    content
        The whole file, 10 MB at most.
    known
        Whether a text is a heading that somebody here would understand; helps to find what
        stands between the cells.
    encoding, delimiter, sheet
        As chosen by hand; empty to find out (a sheet: the first with anything on it).

    Raises
    ------
    Refused

    Examples
    --------
    >>> raw = read_raw(b"first;then\\r\\n1;3\\r\\n")
    >>> raw.delimiter, [row.cells for row in raw.rows]
    (';', [('first', 'then'), ('1', '3')])
    """
    if not content.strip():
        raise Refused("The file is empty.")
    if len(content) > MOST_BYTES:
        raise Refused(f"The file is larger than {MOST_BYTES // 1024 // 1024} MB.")
    if is_workbook(content):
        rows, sheets, name = read_workbook(content, sheet)
        return Raw("xlsx", rows, sheets=sheets, sheet=name)
    for start, what in _OTHER_FORMATS:
        if content.startswith(start):
            raise Refused(f"The file is {what}. Save the list as CSV or XLSX and bring that.")
    text, read_in = decode(content, encoding)
    mark = delimiter if delimiter in DELIMITERS else find_delimiter(text, known)
    return Raw("csv", read_delimited(text, mark), encoding=read_in, delimiter=mark)


def read_table(
    content: bytes,
    known: Callable[[str], bool],
    *,
    encoding: str = "",
    delimiter: str = "",
    sheet: str = "",
    header_row: int | None = None,
) -> Table:
    """The table in a file; see `read_raw` and `headings.table_of`."""
    raw = read_raw(content, known, encoding=encoding, delimiter=delimiter, sheet=sheet)
    return table_of(raw, known, header_row)
