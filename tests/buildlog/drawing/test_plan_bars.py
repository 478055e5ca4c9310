from __future__ import annotations

import datetime as dt
import re
from itertools import pairwise

import defusedxml.ElementTree as ET
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildlog.drawing.plan_bars import (
    HEAD,
    LEAST_HIT,
    ROW,
    STAGE_GAP,
    Band,
    Bar,
    StageBars,
    WeekHours,
    in_pages,
    plan_bars,
    usual_hours,
)

NS = "{http://www.w3.org/2000/svg}"
FIRST, LAST = dt.date(2026, 11, 2), dt.date(2026, 11, 30)
NOW = dt.datetime(2026, 11, 13, 12)


def at(day: int, hour: int = 0) -> dt.datetime:
    return dt.datetime(2026, 11, day, hour)


def a_bar(start=4, finish=8, cured=None, latest=None, **more) -> Bar:
    finished = at(finish)
    return Bar("Fit", "/t/1/", at(start), finished, cured or finished, latest or finished, **more)


def draw(*bars: Bar, **more):
    stages = [StageBars("Frames", bars)]
    return ET.fromstring(plan_bars(stages, FIRST, LAST, NOW, width=282, **more).svg)


def of_class(root, name: str):
    return [one for one in root.iter() if name in (one.get("class") or "").split()]


def test_a_bar_lies_between_its_dates():
    [bar] = of_class(draw(a_bar(4, 8, latest=at(20))), "b-light")
    assert float(bar.get("x")) == 1 + 2 * 10  # ten pixels a day, the rule begins at 1
    assert float(bar.get("width")) == 40
    assert float(bar.get("y")) == HEAD + STAGE_GAP + ROW + 5


def test_float_is_a_thin_tail_to_the_latest_finish():
    along, end = of_class(draw(a_bar(4, 8, latest=at(20))), "b-tail")
    assert (float(along.get("x1")), float(along.get("x2"))) == (61, 181)
    assert end.get("x1") == end.get("x2") == "181"


def test_no_float_is_heavy_and_has_no_tail():
    root = draw(a_bar(critical=True))
    assert len(of_class(root, "b-heavy")) == 1
    assert not of_class(root, "b-tail")


def test_the_cure_is_hatched_between_finish_and_cured():
    root = draw(a_bar(4, 8, cured=at(10), latest=at(10)))
    [cure] = of_class(root, "b-cure")
    assert (float(cure.get("x")), float(cure.get("width"))) == (61, 20)
    [pattern] = root.iter(f"{NS}pattern")
    assert cure.get("fill") == f"url(#{pattern.get('id')})"


def test_done_is_ticked_and_has_no_tail():
    root = draw(a_bar(done=True, latest=at(20)))
    assert len(of_class(root, "b-done")) == len(of_class(root, "b-tick")) == 1
    assert not of_class(root, "b-tail")


def test_worked_hours_fill_their_part_of_the_bar():
    [worked] = of_class(draw(a_bar(4, 8, worked=0.25, latest=at(20))), "b-light-worked")
    assert float(worked.get("width")) == 10


def test_today_is_a_chain_line_and_only_within_the_drawing():
    [today] = of_class(draw(a_bar()), "d-today")
    assert today.get("x1") == "116"
    stages = [StageBars("Frames", [a_bar()])]
    later = plan_bars(stages, FIRST, LAST, dt.datetime(2027, 1, 1)).svg
    assert "d-today" not in later


@pytest.mark.parametrize(
    ("start", "finish", "edge"),
    [(dt.datetime(2026, 9, 1), dt.datetime(2026, 9, 3), 5),
     (dt.datetime(2027, 2, 1), dt.datetime(2027, 2, 3), 277)],
)  # fmt: skip
def test_a_bar_outside_is_an_arrow_at_the_edge_it_lies_beyond(start, finish, edge):
    root = draw(Bar("Fit", "", start, finish, finish, finish))
    [arrow] = of_class(root, "b-away")
    assert f"{edge}," in arrow.get("points").split()[1]
    assert not of_class(root, "b-light")


def test_a_bar_that_reaches_outside_is_cut_at_the_edge():
    finish = dt.datetime(2027, 1, 5)
    [bar] = of_class(draw(Bar("Fit", "", at(20), finish, finish, finish)), "b-light")
    assert float(bar.get("x")) + float(bar.get("width")) == 281


def test_a_moment_is_still_wide_enough_to_see():
    [bar] = of_class(draw(a_bar(4, 4, latest=at(9))), "b-light")
    assert float(bar.get("width")) == 3


def test_a_folded_stage_is_one_row_with_its_heavy_work_in_it():
    bars = [a_bar(4, 8, critical=True), a_bar(10, 12, latest=at(20))]
    unfolded = plan_bars([StageBars("Frames", bars)], FIRST, LAST, NOW)
    folded = plan_bars([StageBars("Frames", bars, open=False)], FIRST, LAST, NOW)
    assert unfolded.height - folded.height == 2 * ROW
    root = ET.fromstring(folded.svg)
    assert len(of_class(root, "b-heavy")) == 1
    assert len(of_class(root, "b-light")) == 1


def test_hours_beyond_the_shop_hours_are_only_outlined():
    weeks = [WeekHours(dt.date(2026, 11, 9), 15, 10), WeekHours(dt.date(2026, 11, 16), 5, 10)]
    root = draw(a_bar(), weeks=weeks)
    assert len(of_class(root, "b-week")) == 2
    [over] = of_class(root, "b-over")
    full = next(one for one in of_class(root, "b-week") if one.get("x") == over.get("x"))
    assert float(over.get("height")) == pytest.approx(float(full.get("height")) / 2, abs=0.2)


def test_hours_already_worked_are_all_filled():
    weeks = [WeekHours(dt.date(2026, 11, 2), 15, 10, past=True)]
    root = draw(a_bar(), weeks=weeks)
    assert of_class(root, "b-week")
    assert not of_class(root, "b-over")


def test_the_usual_hours_are_those_of_most_weeks():
    monday = dt.date(2026, 11, 2)
    weeks = [WeekHours(monday, 0, shop) for shop in (10, 10, 0, 10, 6)]
    assert usual_hours(weeks) == 10
    assert usual_hours([]) == 0


def test_nothing_is_written_but_classes():
    svg = plan_bars([StageBars("Frames", [a_bar()])], FIRST, LAST, NOW).svg
    assert not re.search(r"\s(style|on\w+)=", svg)
    assert not re.search(r"#[0-9a-fA-F]{3,6}\b", svg.replace("url(#", ""))


def test_on_paper_the_names_stand_in_the_drawing():
    stages = [StageBars("Frames", [a_bar(critical=True)])]
    drawn = plan_bars(stages, FIRST, LAST, NOW, width=532, names=250)
    root = ET.fromstring(drawn.svg)
    words = [one.text for one in root.iter(f"{NS}text")]
    assert {"FRAMES", "Fit"} <= set(words)
    [bar] = of_class(root, "b-heavy")
    assert float(bar.get("x")) == 251 + 2 * 10


@given(st.lists(st.tuples(st.integers(0, 30), st.booleans()), max_size=12), st.integers(2, 20))
def test_pages_hold_every_bar_once_and_no_more_rows_than_fit(sizes, rows):
    stages = [
        StageBars(f"S{place}", [a_bar()] * size, open=is_open)
        for place, (size, is_open) in enumerate(sizes)
    ]
    pages = in_pages(stages, rows)
    for page in pages:
        used = [1 + (len(stage.bars) if stage.open else 0) for stage in page]
        assert 0 < sum(used) <= rows
    for stage in stages:
        pieces = [one for page in pages for one in page if one.name == stage.name]
        assert sum(len(piece.bars) for piece in pieces) == len(stage.bars)
        if stage.open and stage.bars:
            assert all(piece.bars for piece in pieces)


def test_a_bar_is_a_link_to_its_sheet_and_can_be_pointed_at():
    root = draw(a_bar(4, 4, key="7", note="ready"))
    [link] = root.iter(f"{NS}a")
    assert (link.get("href"), link.get("data-bar")) == ("/t/1/", "7")
    assert link.get("aria-label") == "Fit. ready"
    [hit] = of_class(link, "b-hit")
    assert float(hit.get("width")) >= LEAST_HIT
    assert float(hit.get("height")) == ROW


def test_no_two_bars_can_be_pointed_at_in_one_place():
    hits = of_class(draw(*[a_bar(latest=at(20))] * 4), "b-hit")
    tops = [float(hit.get("y")) for hit in hits]
    assert all(b - a >= ROW for a, b in pairwise(tops))


def test_where_it_was_is_a_thin_outline_under_the_bar_and_off_it():
    root = draw(a_bar(10, 14, latest=at(20), earlier=(at(4), at(8))))
    [ghost], [bar] = of_class(root, "b-earlier"), of_class(root, "b-light")
    assert (float(ghost.get("x")), float(ghost.get("width"))) == (21, 40)
    assert float(ghost.get("y")) > float(bar.get("y")) + float(bar.get("height"))
    bottom = float(ghost.get("y")) + float(ghost.get("height"))
    assert bottom <= HEAD + STAGE_GAP + 2 * ROW


def test_where_it_was_is_drawn_though_the_bar_itself_lies_elsewhere():
    start = dt.datetime(2027, 2, 1)
    bar = Bar("Fit", "", start, start, start, start, earlier=(at(4), at(8)))
    assert len(of_class(draw(bar), "b-earlier")) == 1


def test_a_pin_stands_at_the_start():
    line, head = of_class(draw(a_bar(4, 8, latest=at(20), pinned=True)), "b-pin")
    assert line.get("x1") == head.get("cx") == "21"


def test_the_launch_is_a_line_with_its_day():
    root = draw(a_bar(), launch=at(20, 12))
    [line] = of_class(root, "d-launch")
    assert float(line.get("x1")) == 1 + 18.5 * 10
    assert "launch 20 Nov 2026" in [one.text for one in root.iter(f"{NS}text")]
    assert not of_class(draw(a_bar(), launch=dt.datetime(2027, 3, 1)), "d-launch")


def test_the_band_covers_the_days_the_launch_may_fall_on():
    band = Band(dt.date(2026, 11, 18), dt.date(2026, 11, 25), dt.date(2026, 11, 20))
    root = draw(a_bar(), launch=at(20), band=band)
    [wash] = of_class(root, "d-band")
    assert (float(wash.get("x")), float(wash.get("width"))) == (161, 70)
    [likely] = of_class(root, "d-likely")
    assert likely.get("points").split()[1].startswith("181,")
    words = " ".join(one.text for one in root.iter(f"{NS}text"))
    assert "in 8 of 10 cases 18 Nov 2026 to 25 Nov 2026" in words
    beyond = Band(dt.date(2027, 1, 1), dt.date(2027, 2, 1), dt.date(2027, 1, 9))
    root = draw(a_bar(), band=beyond)
    assert not of_class(root, "d-band")
    assert "to 1 Feb 2027 →" in " ".join(one.text for one in root.iter(f"{NS}text"))


def test_a_band_that_goes_on_beyond_the_drawing_says_so():
    band = Band(dt.date(2026, 11, 18), dt.date(2027, 1, 5), dt.date(2026, 12, 20))
    root = draw(a_bar(), band=band)
    [wash] = of_class(root, "d-band")
    assert float(wash.get("x")) + float(wash.get("width")) == 281
    assert len(of_class(root, "d-band-edge")) == 1
    assert not of_class(root, "d-likely")
    assert "to 5 Jan 2027 →" in " ".join(one.text for one in root.iter(f"{NS}text"))


def test_the_drawing_tells_a_script_its_scale():
    root = draw(a_bar())
    assert root.get("data-first") == "2026-11-02"
    assert float(root.get("data-per-day")) == 10
    assert float(root.get("data-start")) == 1


def test_no_stages_at_all_make_an_empty_rule():
    assert ET.fromstring(plan_bars([], FIRST, LAST, NOW).svg) is not None
