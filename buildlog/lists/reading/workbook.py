"""XLSX to rows: the values of one sheet, read without running anything.

The file is a zip of XML. It is weighed before it is opened, XML that defines entities is
refused (openpyxl reads through defusedxml), and no formula is worked out: a formula's last
value is taken where the file has it, else its text.
"""

from __future__ import annotations

import datetime as dt
import io
import lzma
import re
import struct
import warnings
import zipfile
import zlib
from collections.abc import Iterator
from decimal import Decimal
from typing import Any
from xml.etree.ElementTree import ParseError

from defusedxml.common import DefusedXmlException

from buildlog.lists.reading.delimited import clean
from buildlog.lists.reading.errors import Refused
from buildlog.lists.reading.table import LONGEST_CELL, MOST_COLUMNS, MOST_ROWS, Row, Typed

__all__ = ["is_workbook", "read_workbook"]

MOST_BYTES_UNPACKED = 120 * 1024 * 1024
MOST_FILES_IN_IT = 2_000
# Sheets, and what is never read, may be large; all else is held as objects while it is read.
MOST_BYTES_BESIDE = 4 * 1024 * 1024
MOST_CELLS = 1_500_000  # and rows, of one sheet
_MAY_BE_LARGE = re.compile(r"xl/(worksheets|sharedStrings|pivotCache|media|drawings)\b", re.I)
_CELL = re.compile(rb"<(?:\w+:)?(?:c|row)[ >/]")
_FORMULA = re.compile(rb"<(?:\w+:)?f[ >]")
_TOO_LARGE = "Unpacked, the file is far larger than a list. Save it as CSV."
UNPACKING = (
    zipfile.BadZipFile, zlib.error, lzma.LZMAError, EOFError, OSError, NotImplementedError,
    RuntimeError,
)  # fmt: skip
UNDERSTANDING = (
    ParseError, DefusedXmlException, LookupError, ValueError, TypeError, AttributeError,
    ArithmeticError, struct.error,
)  # fmt: skip
_BROKEN = "The file says it is XLSX but is damaged. Save it anew as XLSX or CSV."


def is_workbook(content: bytes) -> bool:
    """Whether these are the bytes of an XLSX file (a zip with a workbook in it)."""
    if not content.startswith(b"PK\x03\x04"):
        return False
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            return any(name.lower() == "xl/workbook.xml" for name in packed.namelist())
    except (*UNPACKING, *UNDERSTANDING):
        return False


def read_workbook(content: bytes, sheet: str = "") -> tuple[tuple[Row, ...], tuple[str, ...], str]:
    """Rows of a sheet, the names of all sheets, and the name of the one read.

    Parameters
    ----------
    content
        The whole file.
    sheet
        The sheet's name; empty for the first that has anything on it.

    Raises
    ------
    Refused
        Damaged, far larger unpacked than any list is, or no such sheet.
    """
    has_formulas = _weigh(content)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of styles and extensions, none of our business
            return _read(content, sheet, has_formulas)
    except Refused:
        raise
    except (*UNPACKING, *UNDERSTANDING):
        # openpyxl meets damage with whatever error comes first; to the builder it is one thing.
        raise Refused(_BROKEN) from None


def _weigh(content: bytes) -> bool:
    """Refuse what would unpack to more than a list can be; tell whether it has formulas."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            inside = packed.infolist()
            if len(inside) > MOST_FILES_IN_IT or (
                sum(item.file_size for item in inside) > MOST_BYTES_UNPACKED
            ):
                raise Refused(_TOO_LARGE)
            beside = [i for i in inside if not _MAY_BE_LARGE.match(i.filename)]
            if any(item.file_size > MOST_BYTES_BESIDE for item in beside):
                raise Refused(_TOO_LARGE)
            sheets = [i for i in inside if re.match(r"xl/worksheets/[^/]+\.xml$", i.filename, re.I)]
            found = [_has_formula(packed, item) for item in sheets]  # each is weighed
            return any(found)
    except Refused:
        raise
    except (*UNPACKING, *UNDERSTANDING):
        raise Refused(_BROKEN) from None


def _has_formula(packed: zipfile.ZipFile, item: zipfile.ZipInfo) -> bool:
    """Whether a sheet has a formula. Raises `Refused` where it has more cells than can be read."""
    tail, found, cells = b"", False, 0
    with packed.open(item) as stream:
        while block := stream.read(1 << 20):
            cells += len(_CELL.findall(block))
            if cells > MOST_CELLS:
                raise Refused(_TOO_LARGE)
            found = found or bool(_FORMULA.search(tail + block))
            tail = block[-16:]
    return found


def _read(
    content: bytes, wanted: str, has_formulas: bool
) -> tuple[tuple[Row, ...], tuple[str, ...], str]:
    from openpyxl import load_workbook

    book = load_workbook(io.BytesIO(content), read_only=True, data_only=True, keep_links=False)
    twin = load_workbook(io.BytesIO(content), read_only=True, keep_links=False)
    try:
        sheets = [ws.title for ws in book.worksheets]
        if wanted and wanted not in sheets:
            raise Refused(f"There is no sheet “{wanted}” in the file.")
        for name in [wanted] if wanted else sheets:
            formulas = twin[name] if has_formulas else None
            rows = tuple(_rows(book[name], formulas))
            if wanted or any(not row.blank for row in rows):
                return rows, tuple(sheets), name
        raise Refused("The file has nothing on any sheet.")
    finally:
        book.close()
        twin.close()


def _rows(values: Any, formulas: Any) -> Iterator[Row]:
    limits = {"max_row": MOST_ROWS + 1, "max_col": MOST_COLUMNS}
    texts = formulas.iter_rows(**limits) if formulas is not None else None
    for number, cells in enumerate(values.iter_rows(**limits), 1):
        if number > MOST_ROWS:
            raise Refused(f"The sheet has more than {MOST_ROWS} rows. Bring it in parts.")
        written = next(texts, ()) if texts is not None else ()
        found = [
            _text(cell.value, getattr(cell, "number_format", ""))
            if cell.value is not None
            else _formula(written[i].value if i < len(written) else None)
            for i, cell in enumerate(cells)
        ]
        while found and not found[-1]:
            found.pop()
        yield Row(number, tuple(found))


def _formula(value: Any) -> str:
    text = getattr(value, "text", value)  # array formulas come as objects
    return clean(text)[:LONGEST_CELL] if isinstance(text, str) else ""


def _text(value: Any, number_format: str) -> str:
    if isinstance(value, str):
        return clean(value)[:LONGEST_CELL]
    if isinstance(value, bool):
        return Typed("yes" if value else "no")
    if isinstance(value, int):
        return Typed(value)
    if isinstance(value, float):
        return Typed(_number(value))
    if isinstance(value, dt.datetime):
        midnight = value.time() == dt.time()
        return Typed(value.date().isoformat() if midnight else value.isoformat(" ", "seconds"))
    if isinstance(value, dt.date):
        return Typed(value.isoformat())
    if isinstance(value, dt.time):
        return Typed(f"{value.hour}:{value.minute:02}")
    if isinstance(value, dt.timedelta):
        minutes = round(value.total_seconds() / 60)
        return Typed(f"{minutes // 60}:{minutes % 60:02}")
    return clean(str(value))[:LONGEST_CELL]


def _number(value: float) -> str:
    """A float as the number that was typed: the file keeps fifteen good digits, not more."""
    if value != value or value in (float("inf"), float("-inf")):
        return ""
    return f"{Decimal(f'{value:.15g}').normalize():f}"
