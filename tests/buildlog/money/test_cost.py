"""A cost to finish small enough to reckon by hand: each figure is worked out in a comment."""

import datetime as dt
from decimal import Decimal

import pytest
import time_machine

from buildlog.materials.models import Price, Purchase, PurchaseLine
from buildlog.materials.purchasing import record_purchase
from buildlog.money.cost import cost_of
from buildlog.money.models import Budget, StandingCost
from tasks.plan import plan_of

DAY = dt.date(2026, 3, 2)


@pytest.fixture(autouse=True)
def a_monday_in_march():
    """Monday 2 March 2026, noon in Paris; the shop opens on Saturday the 7th."""
    with time_machine.travel(dt.datetime(2026, 3, 2, 11, tzinfo=dt.UTC), tick=False):
        yield


@pytest.fixture
def shelf(build, ply, screws, make_task, make_part):
    """Two sheets and 150 screws needed; a sheet at 100, a screw at 0.40, tax 20 %, freight 5 %."""
    Price.objects.create(material=ply, day=DAY, net=100, currency="EUR")
    Price.objects.create(material=screws, day=DAY, net=Decimal("0.40"), currency="EUR")
    task = make_task("1", hours=3)
    make_part("Side", ply, task, count=2, mirrored=True, length_mm=2400, width_mm=600)
    make_part("Screws", screws, task, quantity=150)
    return task


def cost(build):
    return cost_of(build, plan_of(build))


def buy(build, supplier, material, quantity, net, **more):
    fields = {"ordered_on": DAY, "currency": "EUR"} | more
    purchase = Purchase(build=build, supplier=supplier, **fields)
    line = PurchaseLine(material=material, quantity=Decimal(quantity), net=Decimal(net))
    return record_purchase(purchase, [line], None)


def test_cost_to_finish_by_hand(build, shelf):
    StandingCost.objects.create(build=build, name="Rent", a_month=310, first=DAY)
    reckoned = cost(build)
    # 2 sheets × 100 × 1.25 = 250; 200 screws × 0.40 × 1.25 = 100
    assert reckoned.to_buy == 350
    # the task is done on Saturday 7 March at noon: five days of 31 at 310 a month
    assert reckoned.launch == dt.date(2026, 3, 7)
    assert reckoned.standing_to_launch == 50
    assert reckoned.contingency == 35
    assert reckoned.to_finish == 435
    assert reckoned.spent == 0
    assert reckoned.expected_total == 435


def test_bought_stock_is_spent_and_no_longer_to_buy(build, supplier, ply, shelf):
    buy(
        build,
        supplier,
        ply,
        1,
        90,
        tax=Decimal(18),
        freight=Decimal(7),
        paid_on=DAY,
        arrived_on=DAY,
    )
    reckoned = cost(build)
    assert reckoned.spent == 115
    # one sheet left to buy at the price just paid: 90 × (1 + 0.20 by the supplier's rate + 0.05)
    assert reckoned.to_buy == Decimal("112.50") + 100


def test_ordered_is_committed_and_not_in_the_cost_to_finish(build, supplier, screws, shelf):
    buy(build, supplier, screws, 200, 80)
    reckoned = cost(build)
    assert (reckoned.spent, reckoned.committed) == (0, 80)
    assert reckoned.to_buy == 250
    assert reckoned.expected_total == 80 + 250 + 25


def test_stock_paid_for_is_never_counted_again(build, supplier, ply, screws, shelf):
    buy(build, supplier, ply, 5, 500, paid_on=DAY, arrived_on=DAY)
    buy(build, supplier, screws, 500, 100, paid_on=DAY, arrived_on=DAY)
    reckoned = cost(build)
    assert reckoned.to_buy == 0
    assert reckoned.expected_total == 600


def test_standing_cost_to_date_is_spent(build, make_task):
    make_task("1")
    StandingCost.objects.create(build=build, name="Rent", a_month=280, first=dt.date(2026, 2, 15))
    # 14 of 28 days of February at 280, and 1 March of 31
    assert cost(build).spent == 140 + Decimal(280) / 31


def test_contingency_is_on_the_part_not_bought(build, shelf):
    Budget.objects.create(build=build, contingency_percent=Decimal("12.5"))
    assert cost(build).contingency == Decimal("43.75")


def test_purchase_without_a_rate_is_in_no_total_and_said_so(build, supplier, shelf):
    screws = build.materials.get(name="Screws")
    paper = buy(build, supplier, screws, 1, 84, currency="GBP", rate=None, paid_on=DAY)
    reckoned = cost(build)
    assert reckoned.spent == 0
    assert [one.purchase for one in reckoned.no_rate] == [paper]


def test_purchase_in_another_currency_counts_at_its_rate(build, supplier, screws, make_task):
    buy(build, supplier, screws, 10, 84, currency="GBP", rate=Decimal("1.15"), paid_on=DAY)
    assert cost(build).spent == Decimal("96.60")


def test_cost_says_what_rests_on_old_prices_and_what_has_none(build, ply, shelf):
    Price.objects.filter(material=ply).update(day=dt.date(2025, 3, 1))
    build.touch_books()
    reckoned = cost(build)
    assert reckoned.on_old_prices == 250
    Price.objects.filter(material=ply).delete()
    build.touch_books()
    reckoned = cost(build)
    assert [row.material for row in reckoned.no_price] == [ply]
    assert reckoned.to_buy == 100


def test_stages_and_rounding_up_add_to_what_is_to_buy(build, shelf):
    reckoned = cost(build)
    rows = sum(row.amount for row in reckoned.stages)
    assert rows + reckoned.rounding_up == reckoned.to_buy + reckoned.equipment
    # 50 screws more than needed at 0.50, and most of a sheet
    assert reckoned.rounding_up > 25


def test_equipment_stands_apart(build, make_task, make_part, supplier):
    engine = build.materials.create(
        build=build, name="Engine", kind="equipment", unit="each", waste_percent=0
    )
    Price.objects.create(material=engine, day=DAY, net=4000, currency="EUR", supplier=supplier)
    make_part("Engine", engine, make_task("1"))
    reckoned = cost(build)
    assert (reckoned.equipment, reckoned.to_buy) == (5000, 0)


@pytest.mark.parametrize("rows", [3, 30])
def test_cost_takes_the_same_queries_whatever_the_rows(
    build, supplier, ply, make_task, make_part, rows, django_assert_max_num_queries
):
    for n in range(rows):
        make_part("Side", ply, make_task(str(n)), length_mm=200, width_mm=60)
        buy(build, supplier, ply, 1, 90, receipt_number=str(n))
    plan = plan_of(build)
    with django_assert_max_num_queries(18):
        cost(build) if plan is None else cost_of(build, plan)
