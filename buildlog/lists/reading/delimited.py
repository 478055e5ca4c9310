"""Text to rows: CSV with whatever stands between its cells."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Callable
from itertools import islice

from buildlog.lists.reading.errors import Refused
from buildlog.lists.reading.table import LONGEST_CELL, MOST_COLUMNS, MOST_ROWS, Row

__all__ = ["DELIMITERS", "find_delimiter", "read_delimited", "unguard"]

DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}

_SAMPLE = 60
_FIRST_LINE_SAYS = re.compile(r'\A"?sep=(.)"?\r?\n?', re.I)
_GUARDED = re.compile(r"'+[=+\-@\t\r\n＝＋－＠]")


def unguard(cell: str) -> str:
    """A cell without the apostrophe that keeps a spreadsheet from running it.

    The opposite of `buildlog.lists.writing.guard`.

    >>> unguard("'=1+1"), unguard("'tis")
    ('=1+1', "'tis")
    """
    return cell[1:] if cell[:1] == "'" and _GUARDED.match(cell) else cell


def find_delimiter(text: str, known: Callable[[str], bool] | None = None) -> str:
    """What stands between the cells.

    It is the mark that cuts out most headings that are `known` in one row; where that does not
    tell, the one that cuts most rows into the same number of cells.

    >>> find_delimiter("a;b;c\\n1,5;2;3\\n2,5;1;4\\n") == ";"
    True
    """
    said = _FIRST_LINE_SAYS.match(text)
    if said and said[1] in DELIMITERS:
        return said[1]
    return max(DELIMITERS, key=lambda mark: _score(text, mark, known))


def _score(text: str, mark: str, known: Callable[[str], bool] | None) -> tuple[int, float]:
    try:
        rows = [row for row in islice(_reader(text, mark), _SAMPLE) if any(row)]
    except csv.Error:
        return 0, 0
    widths = Counter(len(row) for row in rows)
    if not widths:
        return 0, 0
    headings = max(sum(map(known, filter(None, row))) for row in rows) if known else 0
    # Title rows above a table have other widths, so what counts is how many rows agree.
    agree = max((count / len(rows)) ** 2 * min(width - 1, 12) for width, count in widths.items())
    return (headings if headings > 1 else 0), agree


def _reader(text: str, mark: str) -> csv._reader:  # type: ignore[name-defined]
    return csv.reader(io.StringIO(text, newline=""), delimiter=mark)


def read_delimited(text: str, mark: str) -> tuple[Row, ...]:
    """All rows, blank ones too. Quoted cells may hold line ends and doubled quotes.

    Raises
    ------
    Refused
        Too many rows or columns, or a quote that is never closed.
    """
    said = _FIRST_LINE_SAYS.match(text)
    skip = said.end() if said else 0
    rows: list[Row] = []
    try:
        for number, cells in enumerate(_reader(text[skip:], mark), 2 if said else 1):
            if len(rows) >= MOST_ROWS:
                raise Refused(f"The list has more than {MOST_ROWS} rows. Bring it in parts.")
            rows.append(Row(number, _cells(cells, number)))
    except csv.Error:
        raise Refused(
            f"From row {len(rows) + 1} on a cell never ends: a quotation mark is opened and not "
            "closed. Close it and bring the file again."
        ) from None
    return tuple(rows)


def _cells(cells: list[str], number: int) -> tuple[str, ...]:
    while cells and not cells[-1].strip():
        cells.pop()
    if len(cells) > MOST_COLUMNS:
        raise Refused(f"Row {number} has more than {MOST_COLUMNS} cells.")
    for cell in cells:
        if len(cell) > LONGEST_CELL:
            raise Refused(
                f"Row {number} has a cell of more than {LONGEST_CELL} letters; most likely a "
                "quotation mark is opened and not closed."
            )
    return tuple(unguard(clean(cell)) for cell in cells)


_CONTROLS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ufeff\ud800-\udfff]")


def clean(cell: str) -> str:
    """A cell without control characters and outer blanks, its line ends made alike."""
    plain = cell.replace("\r\n", "\n").replace("\r", "\n")
    return _CONTROLS.sub("", plain).strip().replace("\x00", "")
