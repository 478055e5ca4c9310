import datetime as dt
import xml.etree.ElementTree as ET

import pytest

from buildlog.drawing.money_curve import money_curve

SPENT = [(dt.date(2026, 1, 1), 0.0), (dt.date(2026, 2, 1), 800.0), (dt.date(2026, 2, 15), 1000.0)]
TODAY = dt.date(2026, 2, 15)


def elements(drawing, cls):
    root = ET.fromstring(drawing.svg)
    return [one for one in root.iter() if cls in (one.get("class") or "").split()]


def test_it_ends_today_at_what_is_spent_and_goes_on_to_the_launch():
    drawing = money_curve(SPENT, TODAY, dt.date(2026, 8, 1), 4000, "EUR")
    [spent] = elements(drawing, "c-spent")
    [full] = elements(drawing, "c-full")
    last = spent.get("points").split()[-1].split(",")
    assert last == [full.get("cx"), full.get("cy")]
    [ring] = elements(drawing, "c-ring")
    assert float(ring.get("cx")) > float(full.get("cx"))
    assert float(ring.get("cy")) < float(full.get("cy"))  # higher up: more money
    dashes = elements(drawing, "d-dash")[0].get("points").split()
    assert dashes[-1] == f"{ring.get('cx')},{ring.get('cy')}"


def test_heights_are_in_proportion_from_nought():
    drawing = money_curve(SPENT, TODAY, dt.date(2026, 8, 1), 4000, "EUR", height=250)
    ys = [float(one.split(",")[1]) for one in elements(drawing, "c-spent")[0].get("points").split()]
    foot = ys[0]
    assert (foot - ys[2]) == pytest.approx((foot - ys[1]) * 1000 / 800, abs=0.2)


@pytest.mark.parametrize("launch", [None, dt.date(2026, 1, 1)])
def test_without_a_launch_to_come_there_are_no_dashes(launch):
    drawing = money_curve(SPENT, TODAY, launch, 4000, "EUR")
    assert elements(drawing, "d-dash") == []
    assert "expected total 4\u202f000." in drawing.desc


def test_it_says_in_words_what_it_draws():
    drawing = money_curve(SPENT, TODAY, dt.date(2026, 8, 1), 4000.4, "EUR")
    assert drawing.desc == (
        "1\u202f000 EUR spent by 15 Feb 2026; expected total 4\u202f000 at the launch, 1 Aug 2026."
    )


@pytest.mark.parametrize("width", [358, 780])
@pytest.mark.parametrize("launch", [dt.date(2026, 2, 16), dt.date(2036, 1, 1)])
def test_everything_stays_on_the_sheet(width, launch):
    drawing = money_curve(SPENT, TODAY, launch, 4000, "EUR", width=width)
    for one in ET.fromstring(drawing.svg).iter():
        for name in ("cx", "x1", "x2", "x"):
            if one.get(name) is not None:
                assert -1 <= float(one.get(name)) <= width + 1


def test_it_needs_a_day():
    with pytest.raises(ValueError, match="no day"):
        money_curve([], TODAY, None, 0, "EUR")


def test_one_day_with_nothing_spent_can_be_drawn():
    assert "<svg" in money_curve([(TODAY, 0.0)], TODAY, None, 0, "EUR").svg
