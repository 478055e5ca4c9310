import datetime as dt
from decimal import Decimal

import pytest

from buildlog.materials.models import Price, Purchase, PurchaseLine, StockMove
from buildlog.materials.need import needs_of
from buildlog.materials.purchasing import mark_arrived, record_purchase
from buildlog.materials.stock import count_stock
from buildlog.materials.using import put_back, record_use, use_for
from tasks import acts
from tasks.models import ShopHours
from tasks.plan import plan_of

DAY = dt.date(2026, 3, 2)


def buy(build, supplier, material, quantity, net="100", **more):
    purchase = Purchase(build=build, supplier=supplier, ordered_on=DAY, currency="EUR", **more)
    line = PurchaseLine(material=material, quantity=Decimal(quantity), net=Decimal(net))
    return record_purchase(purchase, [line], None)


def row_of(build, material):
    needs = needs_of(build, plan_of(build))
    return next(row for row in needs.materials if row.material == material)


def test_need_counts_a_mirrored_pair_as_two_and_adds_the_waste(build, ply, make_task, make_part):
    task = make_task("1")
    make_part("Side", ply, task, count=2, mirrored=True, length_mm=2400, width_mm=600)
    row = row_of(build, ply)
    assert row.need.area_m2 == Decimal("2.88")  # two of 2.4 by 0.6
    assert round(row.need.net, 6) == Decimal("0.944262")  # over 2.5 × 1.22
    assert round(row.need.gross, 6) == Decimal("1.038689")
    assert row.to_buy == 2  # the waste takes it over one sheet


def test_parts_of_a_finished_task_need_nothing_more(build, ply, make_task, make_part, owner):
    task = make_task("1")
    make_part("Side", ply, task, length_mm=2400, width_mm=600)
    now = dt.datetime(2026, 3, 7, 12, tzinfo=build.zone)
    acts.start(task, owner, now)
    acts.finish(task, owner, now + dt.timedelta(hours=1))
    assert row_of(build, ply).to_buy == 0


def test_earlier_task_in_the_plan_has_first_claim_on_stock(build, screws, make_task, make_part):
    late = make_task("1", order=1)
    early = make_task("2", order=2)
    build.links.create(before=early, after=late)
    make_part("Screws", screws, late, quantity=150)
    make_part("Screws", screws, early, quantity=150)
    count_stock(screws, Decimal(200), DAY, None)
    needs = needs_of(build, plan_of(build))
    assert needs.in_shed(early.pk)
    assert not needs.in_shed(late.pk)
    assert needs.of_task(late.pk)[0].short == 100
    assert row_of(build, screws).to_buy == 100


def test_what_is_on_its_way_is_not_bought_again_but_is_not_in_the_shed(
    build, screws, supplier, make_task, make_part
):
    task = make_task("1")
    make_part("Screws", screws, task, quantity=150)
    purchase = buy(build, supplier, screws, 200)
    row = row_of(build, screws)
    assert (row.stock, row.on_order, row.to_buy) == (0, 200, 0)
    assert not needs_of(build, plan_of(build)).in_shed(task.pk)
    assert mark_arrived(purchase, DAY, None)
    assert not mark_arrived(purchase, DAY, None)  # a double click
    assert row_of(build, screws).stock == 200
    assert needs_of(build, plan_of(build)).in_shed(task.pk)


def test_correcting_a_purchase_adds_rows_and_edits_none(build, supplier, screws, ply):
    purchase = buy(build, supplier, screws, 200, arrived_on=DAY)
    line = purchase.lines.get()
    line.quantity = Decimal(100)
    record_purchase(purchase, [line], None)
    moves = list(StockMove.objects.filter(material=screws).values_list("quantity", flat=True))
    assert moves == [200, -100]
    line.material = ply
    line.quantity = Decimal(2)
    record_purchase(purchase, [line], None)
    assert row_of(build, screws).stock == 0
    assert row_of(build, ply).stock == 2


def test_counting_writes_the_difference(build, screws, owner):
    count_stock(screws, Decimal(30), DAY, owner)
    move = count_stock(screws, Decimal(25), DAY, owner, "dropped a few")
    assert (move.quantity, move.counted) == (-5, 25)
    assert row_of(build, screws).stock == 25


def test_newest_price_counts_whether_asked_or_paid(build, supplier, screws):
    Price.objects.create(material=screws, day=DAY, net=Decimal("0.40"), currency="EUR")
    assert row_of(build, screws).price.home == Decimal("0.50")  # with 20 % tax and 5 % freight
    newer = dt.date(2026, 4, 1)
    purchase = buy(build, supplier, screws, 100, net="50", tax=Decimal(10))
    purchase.ordered_on = newer
    purchase.save()
    price = row_of(build, screws).price
    assert (price.day, price.net) == (newer, Decimal("0.5"))
    assert price.home == Decimal("0.625")
    assert price.is_old(newer + dt.timedelta(366))
    assert not price.is_old(newer + dt.timedelta(365))


def test_amount_without_a_rate_is_no_price(build, supplier, screws):
    buy(build, supplier, screws, 100, rate=None)
    Price.objects.create(material=screws, day=DAY, net=1, currency="GBP", rate=None)
    assert row_of(build, screws).price is None


def test_finish_proposes_the_parts_and_undo_gives_them_back(
    build, screws, ply, make_task, make_part, owner
):
    task = make_task("1")
    make_part("Screws", screws, task, quantity=150)
    make_part("Side", ply, task, length_mm=2400, width_mm=600)
    count_stock(screws, Decimal(200), DAY, owner)
    now = dt.datetime(2026, 3, 7, 12, tzinfo=build.zone)
    acts.start(task, owner, now)
    uses = use_for(task)
    assert [(use.material, use.amount) for use in uses] == [
        (ply, Decimal("0.5193")),
        (screws, Decimal(150)),
    ]
    act = acts.finish(task, owner, now + dt.timedelta(hours=1))
    record_use(act, uses)
    assert row_of(build, screws).stock == 50
    assert use_for(task) == []
    acts.undo(act, owner, now + dt.timedelta(hours=2))
    assert len(put_back(act)) == 2
    assert put_back(act) == []  # a second time does no harm
    assert row_of(build, screws).stock == 200


def test_material_used_by_a_task_in_hand_is_not_bought_again(build, screws, make_task, make_part):
    task = make_task("1")
    make_part("Screws", screws, task, quantity=150)
    count_stock(screws, Decimal(150), DAY, None)
    StockMove.objects.create(
        build=build, material=screws, day=DAY, kind="used", quantity=-150, task=task
    )
    row = row_of(build, screws)
    assert (row.stock, row.to_buy) == (0, 0)


def test_need_works_in_a_build_without_shop_hours(build, ply, make_task, make_part):
    ShopHours.objects.all().delete()
    build.touch_plan()
    make_part("Side", ply, make_task("1"), length_mm=2400, width_mm=600)
    assert row_of(build, ply).to_buy == 1


@pytest.mark.parametrize("rows", [3, 30])
def test_needs_take_the_same_queries_whatever_the_rows(
    build, ply, screws, make_task, make_part, rows, django_assert_num_queries
):
    for n in range(rows):
        make_part("Side", ply, make_task(str(n)), length_mm=200, width_mm=60)
    plan = plan_of(build)
    with django_assert_num_queries(11):
        needs_of(build, plan)


def test_what_a_supplier_usually_adds_is_read_off_their_papers(build, supplier, screws):
    supplier.tax_percent = supplier.freight_percent = None
    supplier.save()
    day = dt.date(2026, 1, 1)
    first = Purchase(build=build, supplier=supplier, ordered_on=day, currency="EUR", freight=30)
    record_purchase(
        first,
        [
            PurchaseLine(what="glue", quantity=1, net=Decimal(100), tax=Decimal(21)),
            PurchaseLine(what="pots", quantity=1, net=Decimal(100), tax=Decimal(21)),
        ],
        None,
    )
    second = Purchase(build=build, supplier=supplier, ordered_on=day, currency="EUR", tax=42)
    record_purchase(second, [PurchaseLine(what="tape", quantity=1, net=Decimal(200))], None)
    Price.objects.create(material=screws, day=DAY, net=1, currency="EUR")
    # 84 of tax and 30 of freight on 400 net
    assert row_of(build, screws).price.home == Decimal("1.285")
