from __future__ import annotations

import datetime as dt
import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from buildlog.drawing.launch_curve import launch_curve
from buildlog.drawing.slip_bar import slip_bar

DAY = dt.date(2026, 3, 1)
WEEK = dt.timedelta(days=7)


def curve_points(svg: str) -> list[tuple[float, float]]:
    line = re.search(r'<polyline class="d-line d-blue c-spent" points="([^"]+)"', svg)[1]
    return [tuple(float(part) for part in point.split(",")) for point in line.split()]


@pytest.mark.parametrize("width", [358, 780])
@pytest.mark.parametrize(("weeks", "slip"), [(2, 0), (8, 3), (60, 7), (300, 7), (5, -20)])
def test_later_lies_higher_and_all_lies_on_the_sheet(width, weeks, slip):
    points = [
        (DAY + WEEK * n, dt.date(2028, 5, 20) + dt.timedelta(days=slip * n)) for n in range(weeks)
    ]
    drawing = launch_curve(points, ("Spring", dt.date(2028, 1, 2)), width, 240)
    ElementTree.fromstring(drawing.svg)
    drawn = curve_points(drawing.svg)
    assert len(drawn) == weeks
    assert all(0 <= x <= width and 0 <= y <= 240 for x, y in drawn)
    assert [x for x, _ in drawn] == sorted(x for x, _ in drawn)
    rises = [b[1] < a[1] for a, b in pairwise(drawn)]
    assert any(rises) == (slip > 0)
    for x, y in re.findall(r'<text[^>]* x="([\d.-]+)" y="([\d.-]+)"', drawing.svg):
        assert 0 <= float(x) <= width and 0 <= float(y) <= 240


def test_it_says_what_it_shows():
    points = [(DAY, dt.date(2028, 5, 20)), (DAY + WEEK, dt.date(2028, 6, 1))]
    drawing = launch_curve(points, ("Spring & all", dt.date(2028, 5, 1)))
    assert drawing.desc == (
        "On 1 Mar 2026 the launch stood at 20 May 2028, on 8 Mar 2026 at 1 Jun 2028. "
        "The baseline “Spring & all” has 1 May 2028. The table below says the same week by week."
    )
    assert "Spring &amp; all" in drawing.svg
    assert "8 Mar 2026: launch 1 Jun 2028" in drawing.svg
    with pytest.raises(ValueError, match="no launch"):
        launch_curve([])


@pytest.mark.parametrize("years", [0, 1, 3, 12, 60])
def test_hairlines_stay_few(years):
    points = [(DAY, DAY), (DAY + WEEK, DAY.replace(year=DAY.year + years) + WEEK)]
    svg = launch_curve(points).svg
    assert 1 <= len(re.findall(r'class="t-small t-pencil t-end"', svg)) <= 8


def test_bars_of_slip_begin_at_the_plan():
    later, earlier = slip_bar(20, -10, 40, "Deck"), slip_bar(-10, -10, 40, "Frames")
    assert later.desc == "20 days later."
    assert earlier.desc == "10 days earlier."
    assert slip_bar(0, 0, 0, "Sails").desc == "As planned."
    assert 'class="b-heavy"' in later.svg
    assert 'class="b-light"' in earlier.svg
    assert "<rect" not in slip_bar(0, -10, 40, "Sails").svg
    with pytest.raises(ValueError, match="must lie between"):
        slip_bar(50, -10, 40, "Deck")
