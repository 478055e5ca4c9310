"""Files to tables: encodings, delimiters, headings, and files that are no tables."""

from __future__ import annotations

import datetime as dt
import io
import zipfile
from contextlib import suppress

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from buildlog.lists.kinds import guess_kind, is_heading
from buildlog.lists.reading import DELIMITERS, Refused, Typed, read_raw, read_table
from buildlog.lists.reading.delimited import unguard
from buildlog.lists.writing import guard
from tests.buildlog.lists.conftest import SAMPLES

TEXT = "Job;Where\r\nÉbénisterie – scié;Chantier «été»\r\n"


def cells(content: bytes, **how):
    return [row.cells for row in read_raw(content, **how).rows]


def workbook(*rows, sheets=()) -> bytes:
    book = Workbook()
    for row in rows:
        book.active.append(row)
    for title, more in sheets:
        sheet = book.create_sheet(title)
        for row in more:
            sheet.append(row)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


A_WORKBOOK = workbook(["Job", "Hours"], ["Cut", 2], ["Glue", 3.5])


class TestEncodings:
    @pytest.mark.parametrize(
        ("encoding", "mark", "found"),
        [
            ("utf-8", b"", "utf-8"),
            ("utf-8", b"\xef\xbb\xbf", "utf-8"),
            ("utf-16-le", b"\xff\xfe", "utf-16-le"),
            ("utf-16-be", b"\xfe\xff", "utf-16-be"),
            ("utf-16-le", b"", "utf-16-le"),
            ("utf-16-be", b"", "utf-16-be"),
            ("cp1252", b"", "cp1252"),
        ],
    )
    def test_are_found(self, encoding, mark, found):
        raw = read_raw(mark + TEXT.encode(encoding))
        assert raw.encoding == found
        assert raw.rows[1].cells == ("Ébénisterie – scié", "Chantier «été»")

    def test_latin_1_is_taken_where_windows_1252_has_no_such_letter(self):
        raw = read_raw("a;b\né\x8d;2\n".encode("latin-1"))
        assert raw.encoding == "latin-1"

    def test_one_may_be_chosen(self):
        assert cells("name;x\nŁódź;1\n".encode("cp1250"), encoding="cp1250")[1][0] == "Łódź"

    def test_one_that_does_not_fit_is_refused(self):
        with pytest.raises(Refused, match="not text in UTF-8"):
            read_raw("é;1\n".encode("latin-1"), encoding="utf-8")


class TestDelimiters:
    @pytest.mark.parametrize("mark", DELIMITERS)
    def test_each_is_found(self, mark):
        rows = [["Part", "Length", "Notes"], ["Frame 1", "6,5", "a; b, c | d"], ["Keel", "7", ""]]
        text = "\n".join(mark.join(f'"{cell}"' for cell in row) for row in rows)
        assert read_raw(text.encode()).delimiter == mark

    def test_decimal_commas_do_not_count(self):
        assert read_raw(b"a;b;c\n1,5;2,5;3,5\n1,5;2,5;3,5\n").delimiter == ";"

    def test_known_headings_tell_where_the_rows_do_not(self):
        rows = "\n".join(["Nr;Job;low;likely;high"] + ["1,5;2,5;1,5;2,5;3,5"] * 99)
        assert read_raw(rows.encode(), is_heading).delimiter == ";"

    def test_a_first_line_that_names_it_is_heeded_and_passed_over(self):
        raw = read_raw(b"sep=|\na|b\n1|2\n")
        assert [(row.number, row.cells) for row in raw.rows] == [(2, ("a", "b")), (3, ("1", "2"))]

    def test_quoted_cells_hold_line_ends_and_doubled_quotes(self):
        content = b'task,notes\r\n1,"two\r\nlines, and ""this"""\r\n'
        assert cells(content)[1] == ("1", 'two\nlines, and "this"')

    def test_inch_marks_need_no_quotes(self):
        assert cells(b'part,L,W\nFrame,39 3/4",16 1/2"\n')[1] == ("Frame", '39 3/4"', '16 1/2"')

    def test_a_quotation_mark_that_is_never_closed_is_named(self):
        with pytest.raises(Refused, match="quotation mark"):
            read_raw(('a,b\n1,"' + "x\n" * 200_000).encode())

    @given(st.text())
    def test_guarding_a_formula_can_always_be_undone(self, text):
        assert unguard(guard(text)) == text


class TestHeadings:
    def table(self, text):
        return read_table(text.encode(), is_heading)

    def test_are_found_below_titles(self):
        table = self.table("Tender, jobs\nprinted 3 March\n\nNr;Job;Hours\n1;Cut;2\n")
        assert table.header_row == 4 and table.headings == ("Nr", "Job", "Hours")

    def test_need_not_be_first_in_the_file_nor_known_all(self):
        table = self.table("Job;colour;Hours\nCut;red;2\n")
        assert table.header_row == 1

    def test_may_be_pointed_at(self):
        content = b"a;b\nNr;Job\n1;Cut\n"
        assert read_table(content, is_heading, header_row=1).headings == ("a", "b")
        with pytest.raises(Refused, match="Row 9"):
            read_table(content, is_heading, header_row=9)

    @pytest.mark.parametrize(
        "row", ["TOTAL;;52", ";Total:;52,5", "Sum;;€ 52", ";grand total;1.200"]
    )
    def test_totals_are_passed_over(self, row):
        table = self.table(f"Nr;Job;Hours\n1;Cut;2\n{row}\n")
        assert [s.number for s in table.skipped] == [3] and len(table.rows) == 1

    def test_a_task_that_speaks_of_a_total_is_kept(self):
        assert len(self.table("Nr;Job;Hours\n1;Total strip and sand;2\n2;Total;big\n").rows) == 2

    def test_headings_that_come_again_on_the_next_page_are_passed_over(self):
        table = self.table("Nr;Job\n1;Cut\nNr;Job\n2;Glue\n")
        assert [s.why for s in table.skipped] == ["the headings again"]

    @pytest.mark.parametrize("file", sorted(p.name for p in (SAMPLES / "tidy").iterdir()))
    def test_say_of_what_a_list_is(self, file):
        table = read_table((SAMPLES / "tidy" / file).read_bytes(), is_heading)
        assert guess_kind(table.headings).key == file.removesuffix(".csv")


class TestWorkbooks:
    def test_keep_numbers_dates_and_yes_as_they_are(self):
        raw = read_raw(workbook(["a", "b", "c", "d"], [1.125, dt.date(2026, 3, 2), True, 7]))
        assert raw.rows[1].cells == ("1.125", "2026-03-02", "yes", "7")
        assert all(isinstance(cell, Typed) for cell in raw.rows[1].cells)

    def test_give_a_formula_without_value_as_text(self):
        assert cells(workbook(["a", "b"], ["x", "=1+1"]))[1] == ("x", "=1+1")

    def test_give_the_first_sheet_with_anything_on_it(self):
        content = workbook(sheets=[("Jobs", [["Job", "Hours"], ["Cut", 2]]), ("More", [["x"]])])
        raw = read_raw(content)
        assert (raw.sheet, raw.sheets) == ("Jobs", ("Sheet", "Jobs", "More"))
        assert read_raw(content, sheet="More").rows[0].cells == ("x",)
        with pytest.raises(Refused, match="no sheet"):
            read_raw(content, sheet="Others")

    def test_number_rows_as_the_spreadsheet_does(self):
        book = Workbook()
        book.active["B3"] = "Job"
        book.active["B7"] = "Cut"
        stream = io.BytesIO()
        book.save(stream)
        rows = [row for row in read_raw(stream.getvalue()).rows if not row.blank]
        assert [(row.number, row.cells) for row in rows] == [(3, ("", "Job")), (7, ("", "Cut"))]

    def test_that_unpack_to_more_than_a_list_are_refused(self):
        stream = io.BytesIO()
        with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as packed:
            packed.writestr("xl/workbook.xml", "<x/>")
            packed.writestr("xl/worksheets/sheet1.xml", b"0" * 130 * 1024 * 1024)
        with pytest.raises(Refused, match="far larger"):
            read_raw(stream.getvalue())

    @pytest.mark.parametrize(
        ("name", "content"),
        [
            ("xl/styles.xml", b"<xf/>" * 1_000_000),
            ("xl/worksheets/sheet1.xml", b'<row r="1"><c r="A1"/></row>' * 800_000),
        ],
    )
    def test_that_would_take_minutes_to_read_are_refused(self, name, content):
        stream = io.BytesIO()
        with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as packed:
            packed.writestr("xl/workbook.xml", "<x/>")
            packed.writestr(name, content)
        with pytest.raises(Refused, match="far larger"):
            read_raw(stream.getvalue())

    def test_that_define_entities_are_refused(self):
        bomb = (
            b'<?xml version="1.0"?><!DOCTYPE w [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]>'
            b"<worksheet><sheetData>&b;</sheetData></worksheet>"
        )
        with pytest.raises(Refused, match="damaged"):
            read_raw(self.with_sheet(bomb))

    def test_with_a_cell_at_the_far_end_are_refused_or_read_soon(self):
        sheet = (
            b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
            b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData></worksheet>'
        )
        with pytest.raises(Refused, match="rows"):
            read_raw(self.with_sheet(sheet))

    def with_sheet(self, xml: bytes) -> bytes:
        stream = io.BytesIO()
        with (
            zipfile.ZipFile(io.BytesIO(workbook(["a", "b"]))) as old,
            zipfile.ZipFile(stream, "w") as new,
        ):
            for item in old.infolist():
                is_sheet = item.filename == "xl/worksheets/sheet1.xml"
                new.writestr(item.filename, xml if is_sheet else old.read(item))
        return stream.getvalue()

    @settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
    @given(st.data())
    def test_that_are_damaged_anywhere_are_read_or_refused(self, data):
        content = bytearray(A_WORKBOOK)
        for _ in range(data.draw(st.integers(1, 4))):
            content[data.draw(st.integers(0, len(content) - 1))] = data.draw(st.integers(0, 255))
        with suppress(Refused):
            read_raw(bytes(content))


class TestOtherFiles:
    @pytest.mark.parametrize(
        ("content", "says"),
        [
            (b"", "empty"),
            (b"  \r\n ", "empty"),
            (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1rest", "old kind of spreadsheet"),
            (b"%PDF-1.7 ...", "a PDF"),
            (b"PK\x03\x04 not a workbook", "packed file"),
            (b"\x89PNG\r\n\x1a\n....", "picture"),
            (bytes(range(32)) * 50, "not a list"),
            (b"a;b\n" * 20_001, "more than 20000 rows"),
            (b"a;" * 100, "more than 60 cells"),
            (b"x" * (10 * 1024 * 1024 + 1), "larger than 10 MB"),
        ],
    )
    def test_are_refused_with_the_reason(self, content, says):
        with pytest.raises(Refused, match=says):
            read_raw(content)

    @settings(max_examples=300, deadline=None)
    @given(st.binary(max_size=400))
    def test_of_any_bytes_are_read_or_refused(self, content):
        with suppress(Refused):
            read_table(content, is_heading)

    @settings(max_examples=200, deadline=None)
    @given(st.text(max_size=400), st.sampled_from(["utf-8", "utf-16", "cp1252"]))
    def test_of_any_text_are_read_or_refused(self, text, encoding):
        with suppress(Refused):
            read_table(text.encode(encoding, "ignore"), is_heading)
