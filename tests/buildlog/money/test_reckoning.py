import datetime as dt
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from buildlog.money.reckoning import PaperLine, line_sums, standing_between

nets = st.lists(st.decimals(min_value=0, max_value=100_000, places=4), min_size=1, max_size=12)
coins = st.decimals(min_value=0, max_value=100_000, places=2)


@given(nets=nets, freight=coins, tax=coins)
def test_lines_add_up_to_the_paper(nets, freight, tax):
    sums = line_sums([PaperLine(net) for net in nets], "EUR", freight, tax)
    assert sum(line.paid for line in sums) == sum(nets) + freight + tax


def test_no_lines_come_to_nothing():
    assert line_sums([], "EUR", Decimal(5)) == []


def test_line_sums_keep_a_lines_own_tax_and_add_its_share():
    first, second = line_sums(
        [PaperLine(Decimal(178), Decimal("37.38")), PaperLine(Decimal(64), Decimal("13.44"))],
        "EUR",
        freight=Decimal(25),
    )
    assert first.paid + second.paid == Decimal("317.82")
    assert first.freight == Decimal("18.39")
    assert second.tax == Decimal("13.44")


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
