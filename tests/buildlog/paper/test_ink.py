from __future__ import annotations

import datetime as dt
import re

import defusedxml.ElementTree as ET
import pytest

from buildlog.drawing import Drawing
from buildlog.drawing.plan_bars import Bar, StageBars, plan_bars
from buildlog.paper.ink import inked, style_of

NOW = dt.datetime(2026, 11, 13)


def test_every_class_of_a_drawing_gets_its_rule_and_no_name_of_a_colour_is_left():
    later = NOW + dt.timedelta(days=4)
    bars = [Bar("Fit", "/1/", NOW, later, later, later, critical=True, pinned=True)]
    svg = inked(plan_bars([StageBars("Frames", bars)], NOW.date(), later.date(), NOW).svg)
    root = ET.fromstring(svg)
    [style] = [one.text for one in root.iter() if one.tag.endswith("}style")]
    assert "var(" not in style and "@media" not in style and ":hover" not in style
    ruled = set(re.findall(r"[.]([\w-]+)", style))
    drawn = {name for one in root.iter() for name in (one.get("class") or "").split()}
    assert drawn - ruled <= {"b-link"}  # a link has no line of its own


def test_the_colours_are_those_for_print():
    tokens = ":root{--a:#111;--b:#222;}\n@media print{:root{--a:#333;}}"
    assert style_of(tokens, [".drawing .x{fill:var(--a);stroke:var(--b);}"]) == (
        ".x{fill:#333;stroke:#222;}"
    )


def test_of_a_page_only_what_is_for_drawings_is_taken():
    sheet = "/* .drawing .no{} */ .drawing .a, .drawing .b, .note { fill: none; }\n"
    sheet += "@media print { .drawing .c { fill: none; } } .drawing .a:focus { fill: red; }"
    assert style_of("", [sheet]) == ".a,.b{fill: none;}"


def test_what_is_no_drawing_is_refused():
    with pytest.raises(ValueError, match="svg element"):
        inked("<p>")
    assert inked(Drawing("d", 2, 2, "A", "B").svg).count("<style>") == 1
