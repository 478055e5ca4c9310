from __future__ import annotations

import datetime as dt
import re

import defusedxml.ElementTree as ET

from buildlog.drawing.plan_network import COLUMN_GAP, MARGIN, WIDTH, Arrow, Box, plan_network

NS = "{http://www.w3.org/2000/svg}"
NOW = dt.datetime(2026, 11, 13)
START, FINISH = dt.datetime(2026, 11, 14, 9), dt.datetime(2026, 11, 15, 12)
LATE_START, LATE_FINISH = dt.datetime(2027, 1, 2, 9), dt.datetime(2027, 1, 3, 12)


def a_box(key, **more) -> Box:
    given = {
        "key": key, "name": f"Task {key}", "href": f"/t/{key}/", "over": f"{key} · Frames",
        "early_start": START, "early_finish": FINISH, "late_start": LATE_START,
        "late_finish": LATE_FINISH, "duration": "6 h", "float": "49 days",
    }  # fmt: skip
    return Box(**given | more)


def draw(boxes, arrows=()):
    return ET.fromstring(plan_network(boxes, arrows, NOW).svg)


def of_class(root, name):
    return [one for one in root.iter() if name in (one.get("class") or "").split()]


def test_a_box_has_the_dates_in_its_corners_and_the_float_between_the_late_ones():
    cells = [cell.text for cell in of_class(draw([a_box(1)]), "t-cell")]
    assert cells == ["14 Nov", "6 h", "15 Nov", "2 Jan 27", "49 days", "3 Jan 27"]


def test_a_box_leads_to_its_sheet_and_says_its_name():
    [link] = draw([a_box(1)]).iter(f"{NS}a")
    assert link.get("href") == "/t/1/"
    assert [line.text for line in of_class(link, "t-name")] == ["Task 1"]


def test_a_link_runs_from_the_right_edge_to_the_left_edge():
    root = draw([a_box(1), a_box(2)], [Arrow(1, 2)])
    [line] = of_class(root, "n-link")
    corners = [tuple(map(float, pair.split(","))) for pair in line.get("points").split()]
    assert corners[0][0] == MARGIN + WIDTH
    assert corners[-1][0] == MARGIN + WIDTH + COLUMN_GAP - 6  # the arrow's head fills the rest


def test_weight_of_a_link_says_what_it_does():
    boxes = [a_box(n) for n in range(4)]
    arrows = [Arrow(0, 1, driving=True, critical=True), Arrow(1, 2, driving=True), Arrow(2, 3)]
    root = draw(boxes, arrows)
    assert [len(of_class(root, name)) for name in ("n-heavy", "n-driving", "n-link")] == [1, 1, 1]


def test_a_link_from_a_start_leaves_under_the_left_corner():
    root = draw([a_box(1), a_box(2)], [Arrow(1, 2, "start-start", "start to start")])
    [line] = of_class(root, "n-link")
    first = line.get("points").split()[0]
    assert float(first.split(",")[0]) == MARGIN + 10
    assert "start to start" in [one.text for one in root.iter(f"{NS}text")]


def test_two_links_at_a_box_do_not_lie_on_each_other():
    root = draw([a_box(n) for n in range(3)], [Arrow(0, 2), Arrow(1, 2)])
    ends = {line.get("points").split()[-1] for line in of_class(root, "n-link")}
    assert len(ends) == 2


def test_heavy_done_and_folded_boxes_are_told_apart_by_line():
    root = draw([a_box(1, critical=True), a_box(2, done=True), a_box(3, folded=12)])
    assert len(of_class(root, "n-critical")) == 1
    assert len(of_class(root, "n-done")) == len(of_class(root, "b-tick")) == 1
    assert len(of_class(root, "n-box")) == 2  # the second edge of the folded one


def test_an_arrow_to_a_box_that_is_not_there_is_passed_over():
    assert not of_class(draw([a_box(1), a_box(2)], [Arrow(1, 3), Arrow(4, 2)]), "n-link")


def test_nothing_is_written_but_classes():
    svg = plan_network([a_box(1), a_box(2)], [Arrow(1, 2)], NOW).svg
    assert not re.search(r"\s(style|on\w+)=", svg)
