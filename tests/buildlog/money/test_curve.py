"""What was spent month by month, against sums made by hand."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from buildlog.materials.models import Purchase, PurchaseLine
from buildlog.materials.purchasing import record_purchase
from buildlog.money.cost import cost_of
from buildlog.money.curve import draw_spent, spent_to_date
from buildlog.money.models import StandingCost
from tasks.plan import plan_of

NOW = dt.datetime(2026, 4, 11, 12, tzinfo=ZoneInfo("Europe/Paris"))


@pytest.fixture
def cost(build):
    return lambda: cost_of(build, plan_of(build, NOW))


@pytest.fixture
def pay(build, supplier, ply, owner):
    def pay_on(day: dt.date | None, net: int, **more):
        paper = Purchase(
            build=build, supplier=supplier, ordered_on=day or NOW.date(), paid_on=day,
            currency="EUR", **more,
        )  # fmt: skip
        record_purchase(paper, [PurchaseLine(material=ply, quantity=1, net=net)], owner)

    return pay_on


def test_it_adds_up_month_by_month_to_what_is_spent(build, cost, pay):
    pay(dt.date(2026, 2, 10), 100)
    pay(dt.date(2026, 3, 1), 50)
    pay(dt.date(2026, 4, 11), 7)
    # 31 a month in March is 1 a day; 30 in April would be: 31 / 30 a day, ten days of it.
    StandingCost.objects.create(build=build, name="Rent", a_month=31, first=dt.date(2026, 3, 1))
    points = spent_to_date(cost())
    assert points[:3] == [
        (dt.date(2026, 2, 1), 0),
        (dt.date(2026, 3, 1), 100),
        (dt.date(2026, 4, 1), 181),
    ]
    day, spent = points[-1]
    assert day == NOW.date()
    assert round(spent, 6) == round(Decimal(157 + 31) + Decimal(310) / 30, 6)
    assert spent == cost().spent


def test_what_is_not_paid_or_has_no_rate_is_not_in_it(build, cost, pay):
    pay(dt.date(2026, 3, 1), 50)
    pay(None, 500)
    pay(dt.date(2026, 3, 2), 900, rate=None)
    assert spent_to_date(cost())[-1] == (NOW.date(), 50)


def test_nothing_spent_draws_nothing(build, cost):
    assert spent_to_date(cost()) == []
    assert draw_spent(cost()) == []


def test_costs_that_begin_only_later_draw_nothing_yet(build, cost):
    StandingCost.objects.create(build=build, name="Rent", a_month=31, first=dt.date(2027, 1, 1))
    assert spent_to_date(cost()) == []


def test_it_is_drawn_for_a_desk_and_a_phone_with_ids_of_their_own(build, cost, pay):
    pay(dt.date(2026, 3, 1), 50)
    (_, desk), (_, phone) = draw_spent(cost())
    assert (desk.width, phone.width) == (780, 358)
    assert desk.key != phone.key
