"""Lists against what others say of CSV and XLSX.

Sources: RFC 4180, section 2, rules 5 to 7 (quoted fields, line breaks, doubled quotes), from
memory of its text, with cells of our own; for XLSX, openpyxl as an independent reader and writer of
ECMA-376 workbooks. The beginnings of cells that a spreadsheet runs are common guidance on formulas
in CSV, from memory.
"""

from __future__ import annotations

import csv
import io

import pytest
from openpyxl import Workbook, load_workbook

from buildlog.lists.reading import read_raw
from buildlog.lists.writing import to_csv, to_xlsx

AWKWARD = ["plain", "with, comma", 'with "quotes"', "two\nlines", "semi; colon", "é ½ ″", "'tis"]
RUN = ["=1+1", "+1", "-1", "@SUM(A1)", "＝1", "'=1"]


@pytest.mark.parametrize(
    ("line", "cells"),
    [
        ('"aaa","bbb","ccc"', ("aaa", "bbb", "ccc")),
        ('"aaa","b\r\nbb","ccc"', ("aaa", "b\nbb", "ccc")),
        ('"aaa","b""bb","ccc"', ("aaa", 'b"bb', "ccc")),
        ("aaa,bbb,ccc", ("aaa", "bbb", "ccc")),
    ],
    ids=["rule 5", "rule 6", "rule 7", "rule 4"],
)
def test_fields_are_read_by_the_rules_of_rfc_4180(line, cells):
    assert [row.cells for row in read_raw(f"x,y,z\r\n{line}\r\n".encode()).rows][1] == cells


def test_what_is_written_is_csv_to_pythons_own_strict_reader():
    content = to_csv(AWKWARD, [AWKWARD]).decode("utf-8-sig")
    rows = list(csv.reader(io.StringIO(content, newline=""), strict=True))
    assert rows == [AWKWARD, AWKWARD] and content.count("\r\n") == 2


@pytest.mark.parametrize("text", RUN)
def test_what_a_spreadsheet_would_run_is_text_to_it_and_to_us_again(text):
    content = to_csv(["name"], [[text]])
    assert content.decode("utf-8-sig").splitlines()[1].startswith("'")
    assert read_raw(content).rows[1].cells == (text,)


def test_what_is_written_is_a_workbook_to_openpyxl():
    book = load_workbook(io.BytesIO(to_xlsx([("Tasks", AWKWARD, [RUN])])))
    assert [[cell.value for cell in row] for row in book["Tasks"].iter_rows()] == [
        AWKWARD, [*RUN, None],
    ]  # fmt: skip
    assert {cell.data_type for row in book["Tasks"].iter_rows() for cell in row} <= {"s", "n"}


def test_what_openpyxl_writes_is_read():
    book = Workbook()
    book.active.append(AWKWARD)
    book.active.append([1, 2.5, -0.1, 1e-7, 123456789.123])
    stream = io.BytesIO()
    book.save(stream)
    assert [row.cells for row in read_raw(stream.getvalue()).rows] == [
        tuple(AWKWARD), ("1", "2.5", "-0.1", "0.0000001", "123456789.123"),
    ]  # fmt: skip
