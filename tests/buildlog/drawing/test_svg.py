from __future__ import annotations

import defusedxml.ElementTree as ET
from hypothesis import given
from hypothesis import strategies as st

from buildlog.drawing import Drawing
from buildlog.drawing.hatch import hatch
from buildlog.drawing.svg import num

#: What XML 1.0 can hold at all.
words = st.text(st.characters(exclude_categories=("Cs", "Cc"), exclude_characters="￾￿"))


@given(words, words, words)
def test_any_words_make_well_formed_svg_and_come_back_whole(title, desc, label):
    drawing = Drawing("d", 10, 10, title, desc)
    drawing.begin_link(f"/b/{label}/", label)
    drawing.text(1, 2, label)
    drawing.end_link()
    root = ET.fromstring(drawing.svg)
    ns = "{http://www.w3.org/2000/svg}"
    assert (root.find(f"{ns}title").text or "") == title
    assert (root.find(f"{ns}desc").text or "") == desc
    assert (root.find(f"{ns}a/{ns}text").text or "") == label


def test_a_label_cannot_break_out_of_its_place():
    drawing = Drawing("d", 10, 10, "<script>", '"><script>')
    drawing.text(0, 0, "</text><script>alert(1)</script>")
    drawing.begin_link('"><script>', '"><script>')
    drawing.end_link()
    assert "<script" not in drawing.svg


@given(st.floats(-1e6, 1e6))
def test_a_number_is_written_within_a_twentieth_and_never_as_minus_nothing(value):
    assert abs(float(num(value)) - value) <= 0.0500001
    assert num(value) != "-0"


def test_a_definition_is_written_once_and_named_after_its_drawing():
    drawing = Drawing("one", 10, 10, "", "")
    assert hatch(drawing) == hatch(drawing) == "one-hatch"
    assert drawing.svg.count("<pattern") == 1


def test_a_drawing_names_and_describes_itself():
    root = ET.fromstring(Drawing("d", 12, 7, "The plan", "Bars.").svg)
    assert root.get("viewBox") == "0 0 12 7"
    assert root.get("aria-labelledby") == "d-title"
    assert root.get("aria-describedby") == "d-desc"
