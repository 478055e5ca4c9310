from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from buildlog.materials.models import StockMove
from buildlog.materials.stock import count_stock, move_stock, stock_of, take_back
from buildlog.materials.using import Use, put_back, record_use
from tasks import acts
from tasks.changes import Refused

DAY = dt.date(2026, 3, 7)


@pytest.fixture
def move(build, ply, owner):
    def make(kind: str, amount: str, key: str = "") -> StockMove:
        row = StockMove(build=build, material=ply, day=DAY, kind=kind, person=owner, key=key)
        return move_stock(row, Decimal(amount))

    return make


@pytest.mark.parametrize(
    ("kind", "change"), [("used", -3), ("wasted", -3), ("returned", -3), ("offcut", 3)]
)
def test_an_amount_as_people_say_it_becomes_a_change(build, ply, move, kind, change):
    assert move(kind, "3").quantity == change
    assert stock_of(build)[ply.pk] == change


def test_counting_writes_the_change_that_it_makes(build, ply, owner, move):
    count_stock(ply, Decimal(10), DAY, owner)
    move("used", "3")
    row = count_stock(ply, Decimal("6.5"), DAY, owner)
    assert (row.counted, row.quantity) == (Decimal("6.5"), Decimal("-0.5"))
    assert stock_of(build)[ply.pk] == Decimal("6.5")


def test_second_click_with_the_same_key_writes_nothing(build, ply, owner, move):
    assert move("used", "3", key="k") == move("used", "3", key="k")
    count_stock(ply, Decimal(5), DAY, owner, key="c")
    move("used", "1")
    count_stock(ply, Decimal(5), DAY, owner, key="c")  # the first count, sent again
    assert stock_of(build)[ply.pk] == 4


def test_a_mistake_is_taken_back_by_a_second_row_and_only_once(build, ply, owner, move):
    wrong = move("used", "30")
    back = take_back(wrong, DAY, owner)
    assert (back.kind, back.quantity, back.corrects) == ("used", 30, wrong)
    assert take_back(wrong, DAY, owner) == back
    assert stock_of(build)[ply.pk] == 0
    assert StockMove.objects.count() == 2


def test_what_takes_back_is_not_taken_back_itself(build, ply, owner, move):
    back = take_back(move("used", "30"), DAY, owner)
    with pytest.raises(Refused):
        take_back(back, DAY, owner)


def test_what_came_by_a_purchase_or_a_finish_is_put_right_there(build, ply, owner, make_task):
    bought = StockMove.objects.create(build=build, material=ply, day=DAY, kind="bought", quantity=2)
    act = acts.finish(make_task("1"), owner, timezone.now())
    [used] = record_use(act, [Use(ply, Decimal(1))])
    for row in (bought, used):
        with pytest.raises(Refused, match="Correct the purchase, or undo the finish"):
            take_back(row, DAY, owner)


def test_a_finish_takes_from_stock_once_and_gives_back_once(build, ply, owner, make_task):
    act = acts.finish(make_task("1"), owner, timezone.now())
    for _ in range(2):
        record_use(act, [Use(ply, Decimal("1.5"))])
    assert stock_of(build)[ply.pk] == Decimal("-1.5")
    for _ in range(2):
        put_back(act)
    assert stock_of(build)[ply.pk] == 0
