import datetime as dt
import xml.etree.ElementTree as ET

import pytest

from buildlog.drawing.price_steps import PriceDot, price_steps

TODAY = dt.date(2026, 6, 1)
DOTS = [
    PriceDot(dt.date(2026, 1, 10), 100.0),
    PriceDot(dt.date(2026, 3, 1), 110.0, paid=True),
]


def elements(drawing, cls):
    root = ET.fromstring(drawing.svg)
    return [one for one in root.iter() if cls in (one.get("class") or "").split()]


def test_a_price_holds_until_the_next_and_the_last_until_today():
    points = [one.split(",") for one in elements(price_steps(DOTS, TODAY, "EUR"), "d-blue")[0]
              .get("points").split()]  # fmt: skip
    (_, y1), (x2, y2), (x3, y3), (x4, y4) = points
    assert (y1, x2, y3) == (y2, x3, y4)
    assert float(x4) > float(x3)
    assert float(y3) < float(y1)  # dearer stands higher


def test_asked_is_a_ring_and_paid_is_full():
    drawing = price_steps(DOTS, TODAY, "EUR")
    assert len(elements(drawing, "c-ring")) == 1
    assert len(elements(drawing, "c-full")) == 1


def test_it_says_in_words_what_it_draws():
    assert price_steps(DOTS, TODAY, "EUR").desc == (
        "100.00 EUR on 10 Jan 2026, 110.00 on 1 Mar 2026; lowest 100.00, highest 110.00."
    )


def test_a_price_from_a_day_to_come_is_drawn_too():
    dots = [*DOTS, PriceDot(dt.date(2027, 1, 1), 90.0)]
    assert len(elements(price_steps(dots, TODAY, "EUR"), "c-ring")) == 2


def test_one_price_and_a_price_of_nought_can_be_drawn():
    assert "<svg" in price_steps([PriceDot(TODAY, 0.0)], TODAY, "EUR").svg


def test_no_price_is_refused():
    with pytest.raises(ValueError, match="no price"):
        price_steps([], TODAY, "EUR")
