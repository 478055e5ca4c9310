"""The printed plan as a reader of PDF sees it: sheets, their size, words, fields and marks.

Sources: ISO 216 (sizes of A4 and A3, by public tables of it); ISO 7200:2004 (fields of a title
block: owner, title, number, date of issue, sheet; from memory); ISO 32000 as read by pypdf.
"""

from __future__ import annotations

import datetime as dt
from io import BytesIO
from itertools import pairwise

import pytest
from django.urls import reverse
from pypdf import PdfReader

from tasks.models import Link, Stage

MM = 72 / 25.4  # points, of which an inch has 72 (ISO 32000)
# ISO 216, in mm, laid on the long side.
SIZES = {"a4": (297, 210), "a3": (420, 297)}
# ISO 7200:2004, in plain words; from memory.
FIELDS = ("TITLE", "BUILD", "NUMBER", "DATE", "REVISION", "DRAWN FOR", "SHEET")


@pytest.fixture
def large(build, make_task):
    """Three stages of twenty tasks, each task after the one before."""
    tasks = []
    for number in range(3):
        stage = Stage.objects.create(build=build, name=f"Stage {number}", order=number)
        tasks += [make_task(f"{number}.{n}", 5, stage=stage) for n in range(20)]
    for before, after in pairwise(tasks):
        Link.objects.create(build=build, before=before, after=after)
    return tasks


@pytest.fixture
def printed(build, owner, as_person):
    def get(name: str, query: str) -> PdfReader:
        answer = as_person(owner).get(reverse(name, args=[build.slug]) + query)
        assert answer.status_code == 200
        assert answer["Content-Type"] == "application/pdf"
        return PdfReader(BytesIO(answer.content))

    return get


@pytest.mark.parametrize("paper", SIZES)
def test_every_sheet_has_the_size_of_its_paper(large, printed, paper):
    for page in printed("plan-pdf", f"?paper={paper}&open=all").pages:
        size = float(page.mediabox.width), float(page.mediabox.height)
        assert size == pytest.approx([one * MM for one in SIZES[paper]], abs=0.5)


def test_every_sheet_has_a_title_block_that_counts_the_sheets(build, owner, large, printed):
    pages = printed("plan-pdf", "?open=all").pages
    assert len(pages) > 2
    for number, page in enumerate(pages, 1):
        words = page.extract_text()
        for field in FIELDS:
            assert field in words
        assert f"{number} of {len(pages)}" in words
        assert build.name in words and owner.name in words
        build.refresh_from_db()
        assert str(build.plan_version) in words


def test_every_task_is_named_on_some_sheet_and_the_rule_on_each(large, printed):
    pages = [page.extract_text() for page in printed("plan-pdf", "?open=all").pages]
    for task in large:
        assert any(task.name in words.split("\n") for words in pages), task
    years = {str(year) for year in range(dt.date.today().year, dt.date.today().year + 4)}
    assert all(any(year in words for year in years) for words in pages)


def test_a_folded_plan_takes_one_row_a_stage(large, printed):
    [page] = printed("plan-pdf", "?open=&span=13").pages
    words = page.extract_text()
    assert "STAGE 0" in words and "Task 0.1" not in words


def test_the_boxes_of_the_network_are_all_on_its_sheets(large, printed):
    pages = printed("network-pdf", "?open=all").pages
    assert len(pages) >= 10  # sixty columns, six on a sheet
    words = "\n".join(page.extract_text() for page in pages)
    for task in large:
        assert f"{task.code} ·" in words, task


def test_it_can_be_read_aloud(large, printed):
    """Tagged, with a title and a language, as PDF/UA-1 asks (ISO 14289-1, from memory)."""
    reader = printed("plan-pdf", "?open=")
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"].startswith("en")
    assert reader.metadata is not None and "Tender" in str(reader.metadata.title)
