"""What to order by when, with dates reckoned by hand.

The build of conftest works Saturdays 9–15 and Sundays 10–14. At Thursday 5 March 2026, 12:00, a
task of one hour that waits for nothing can begin on Saturday 7 March.
"""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest

from buildlog.materials.models import Purchase, PurchaseLine
from buildlog.materials.need import needs_of
from buildlog.materials.ordering import orders_of
from buildlog.materials.purchasing import record_purchase
from tasks.models import Link
from tasks.plan import plan_of

NOW = dt.datetime(2026, 3, 5, 12, tzinfo=ZoneInfo("Europe/Paris"))
SHEET = {"length_mm": 2400, "width_mm": 1200}  # one part fills a sheet: 1.0387 of waste and all


@pytest.fixture
def orders(build):
    def orders_now():
        plan = plan_of(build, NOW)
        return orders_of(plan, needs_of(build, plan))

    return orders_now


def test_order_by_is_the_early_start_less_the_days_to_deliver(
    build, supplier, ply, make_task, make_part, orders
):
    supplier.lead_days = 3
    supplier.save()
    make_part("Side", ply, make_task("1"), **SHEET)
    [one] = orders()
    assert one.start == dt.date(2026, 3, 7)
    assert one.order_by == dt.date(2026, 3, 4)
    assert one.lead_days == 3
    assert one.late
    assert one.soon


def test_days_of_the_material_stand_before_those_of_the_supplier(
    build, supplier, ply, make_task, make_part, orders
):
    supplier.lead_days, ply.lead_days = 3, 1
    supplier.save(), ply.save()
    make_part("Side", ply, make_task("1"), **SHEET)
    assert orders()[0].order_by == dt.date(2026, 3, 6)


def test_days_not_known_are_said_and_reckoned_as_none(build, screws, make_task, make_part, orders):
    screws.supplier = None
    screws.save()
    make_part("Screws", screws, make_task("1"), count=40)
    [one] = orders()
    assert one.lead_days is None
    assert one.order_by == one.start == dt.date(2026, 3, 7)
    assert not one.late


def test_only_what_is_near_is_ordered_now_and_the_rest_later(
    build, ply, make_task, make_part, orders
):
    # Ten shop hours a week: 100 h of other work put the second task off by ten weeks.
    first, long, last = make_task("1"), make_task("2", hours=100), make_task("3")
    for before, after in ((first, long), (long, last)):
        Link.objects.create(build=build, before=before, after=after)
    make_part("Side", ply, first, **SHEET)
    make_part("Top", ply, last, count=3, **SHEET)
    [one] = orders()
    # 2400 x 1200 of 2500 x 1220 is 0.9443 of a sheet, with 10 % waste 1.0387: two are sold.
    assert one.amount == 2
    assert one.row.to_buy == 5  # 4 x 1.0387 = 4.155
    assert one.later == 3
    assert one.task == first


def test_the_first_task_short_is_named_not_the_first_that_needs_it(
    build, supplier, ply, owner, make_task, make_part, orders
):
    early, late = make_task("1"), make_task("2", not_before=dt.date(2026, 5, 1))
    make_part("Side", ply, early, **SHEET)
    make_part("Top", ply, late, **SHEET)
    bought(build, supplier, ply, owner, 2, arrived=True)
    [one] = orders()
    assert one.task == late
    assert not one.soon
    assert one.start == dt.date(2026, 5, 2)


def test_what_is_on_its_way_is_not_ordered_again(
    build, supplier, ply, owner, make_task, make_part, orders
):
    make_part("Side", ply, make_task("1"), **SHEET)
    bought(build, supplier, ply, owner, 2, arrived=False)
    assert orders() == []


def test_parts_without_a_task_come_last_and_have_no_day(
    build, ply, screws, make_task, make_part, orders
):
    make_part("Spare", ply, None, **SHEET)
    make_part("Screws", screws, make_task("1"), count=40)
    first, last = orders()
    assert first.material == screws
    assert last.material == ply
    assert last.order_by is None
    assert last.amount == 2


def test_the_most_pressing_comes_first(build, supplier, ply, screws, make_task, make_part, orders):
    ply.lead_days, screws.lead_days = 2, 9
    ply.save(), screws.save()
    make_part("Side", ply, make_task("1"), **SHEET)
    make_part("Screws", screws, make_task("2"), count=40)
    assert [one.material for one in orders()] == [screws, ply]


def test_packs_and_cost(build, supplier, screws, owner, make_task, make_part, orders):
    make_part("Screws", screws, make_task("1"), count=240)
    [one] = orders()
    assert one.amount == 300
    assert one.packs == 3
    assert one.cost is None


def bought(build, supplier, material, person, quantity, arrived):
    paper = Purchase(
        build=build, supplier=supplier, ordered_on=dt.date(2026, 3, 2), currency="EUR",
        arrived_on=dt.date(2026, 3, 3) if arrived else None,
    )  # fmt: skip
    record_purchase(paper, [PurchaseLine(material=material, quantity=quantity, net=10)], person)
