"""Tables out: CSV and XLSX that say exactly what the build has, and read back as the same."""

from __future__ import annotations

import csv
import datetime as dt
import io
import re
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any

from buildlog.units import exact_length, typed_number, without_idle_noughts

__all__ = ["cell_text", "guard", "hours", "length_cell", "to_csv", "to_xlsx"]

Cell = str | int | bool | Decimal | dt.date | None

# Spreadsheets cut a cell off at 32,767 letters; the file keeps all, and reads back whole.
MOST_TEXT = 10_000_000

_RUNS = re.compile(r"'*[=+\-@\t\r\n＝＋－＠]")
_NOT_IN_XML = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


def guard(text: str) -> str:
    """Text that no spreadsheet runs: an apostrophe before what would begin a formula.

    Text that has such an apostrophe already gets a second, so `reading.delimited.unguard` always
    gives the same text back. Common guidance against formulas in CSV names these beginnings:
    = + - @, tab, carriage return, line feed, and the full-width forms of the first four.

    >>> guard("=1+1"), guard("'=1+1"), guard("Frame 1"), guard("'tis")
    ("'=1+1", "''=1+1", 'Frame 1', "'tis")
    """
    return f"'{text}" if _RUNS.match(text) else text


def hours(minutes: int) -> Decimal:
    """Minutes as a number of hours that reads back as the same minutes.

    >>> hours(90), hours(100), hours(120)
    (Decimal('1.5'), Decimal('1.6667'), Decimal('2'))
    """
    return without_idle_noughts(round(Decimal(minutes) / 60, 4))


def length_cell(mm: Decimal | None, imperial: bool) -> Cell:
    """A length as it is written in the build's units, exact: never rounded."""
    if mm is None:
        return None
    return exact_length(mm, "imperial") if imperial else without_idle_noughts(mm)


def cell_text(value: Cell) -> str:
    """A value as CSV has it. Numbers have a point and are never open to two readings.

    >>> cell_text(Decimal("1.250")), cell_text(Decimal("1.1250")), cell_text(True), cell_text("=2")
    ('1.25', '1.1250', 'yes', "'=2")
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Decimal):
        return typed_number(value)
    if isinstance(value, dt.date):
        return value.isoformat()
    return guard(_tidy(value)) if isinstance(value, str) else str(value)


def _tidy(text: str) -> str:
    plain = text.replace("\r\n", "\n").replace("\r", "\n").strip()
    return _NOT_IN_XML.sub("", plain).replace("\ufeff", "").replace("\x7f", "").strip()


def to_csv(headings: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """A table as CSV: UTF-8 with a byte order mark, so that spreadsheets take it for what it is."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(headings)
    writer.writerows([cell_text(value) for value in row] for row in rows)
    return stream.getvalue().encode("utf-8-sig")


def to_xlsx(sheets: Iterable[tuple[str, Sequence[str], Iterable[Sequence[Cell]]]]) -> bytes:
    """Tables as one workbook, a sheet each. Text is written as text, whatever it begins with."""
    from xlsxwriter import Workbook

    stream = io.BytesIO()
    with Workbook(stream, {"in_memory": True, "default_date_format": "yyyy-mm-dd"}) as book:
        heavy = book.add_format({"bold": True})
        looks = {
            "run": book.add_format({"quote_prefix": True}),
            "lines": book.add_format({"valign": "top", "text_wrap": True}),
        }
        for title, headings, rows in sheets:
            sheet = book.add_worksheet(title)
            sheet.freeze_panes(1, 0)
            sheet.xls_strmax = MOST_TEXT
            for column, heading in enumerate(headings):
                sheet.write_string(0, column, heading, heavy)
            for number, row in enumerate(rows, 1):
                for column, value in enumerate(row):
                    _write_cell(sheet, number, column, value, looks)
    return stream.getvalue()


def _write_cell(sheet: Any, row: int, column: int, value: Cell, looks: dict[str, Any]) -> None:
    if isinstance(value, bool):
        sheet.write_string(row, column, "yes" if value else "no")
    elif isinstance(value, str):
        text = _tidy(value)
        look = "run" if _RUNS.match(text) else "lines" if "\n" in text else ""
        if text:
            sheet.write_string(row, column, text, looks.get(look))
    elif isinstance(value, dt.date):
        sheet.write_datetime(row, column, value)
    elif value is not None:
        sheet.write_number(row, column, value)
