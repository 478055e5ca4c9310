import datetime as dt
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from buildlog.money.reckoning import standing_between


def test_standing_costs_take_each_month_by_its_own_days():
    # 28 days of February and 10 of 31 in March
    total = standing_between(
        Decimal(310), dt.date(2026, 1, 1), None, dt.date(2026, 2, 1), dt.date(2026, 3, 11)
    )
    assert total == Decimal(410)


def test_standing_costs_before_they_begin_and_after_they_end_are_nothing():
    cost = (Decimal(100), dt.date(2026, 3, 1), dt.date(2026, 3, 31))
    assert standing_between(*cost, dt.date(2026, 1, 1), dt.date(2026, 3, 1)) == 0
    assert standing_between(*cost, dt.date(2026, 4, 1), dt.date(2027, 1, 1)) == 0
    assert standing_between(*cost, dt.date(2026, 1, 1), dt.date(2027, 1, 1)) == 100


def test_standing_costs_of_a_whole_year_are_twelve_months():
    total = standing_between(
        Decimal("123.45"), dt.date(2020, 1, 1), None, dt.date(2028, 1, 1), dt.date(2029, 1, 1)
    )
    assert total == Decimal("1481.40")


@given(
    st.dates(dt.date(2024, 1, 1), dt.date(2030, 1, 1)),
    st.integers(0, 900),
    st.integers(0, 900),
)
def test_standing_costs_of_two_stretches_add_up(start, one, two):
    middle, end = start + dt.timedelta(one), start + dt.timedelta(one + two)
    first = dt.date(2025, 6, 15)
    parts = standing_between(Decimal(75), first, None, start, middle) + standing_between(
        Decimal(75), first, None, middle, end
    )
    whole = standing_between(Decimal(75), first, None, start, end)
    assert abs(whole - parts) < Decimal("1e-20")
