"""Who may do what on every page of the room: the whole crew and a stranger."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse

from buildlog.materials.models import Material, Price, Purchase, StockMove, Supplier

LOOK = {"owner": 200, "planner": 200, "hand": 200, "onlooker": 200, "stranger": 404}
SEE_MONEY = {"owner": 200, "planner": 200, "hand": 403, "onlooker": 403, "stranger": 404}
CHANGE = SEE_MONEY  # the plan and the money are changed by the same people
DONE = {"owner": 302, "planner": 302, "hand": 403, "onlooker": 403, "stranger": 404}
LOGGED = {"owner": 302, "planner": 302, "hand": 302, "onlooker": 403, "stranger": 404}


@pytest.fixture
def rows(build, ply, supplier, make_task, make_part):
    part = make_part("Side", ply, make_task("1"), length_mm=2400, width_mm=1200)
    price = Price.objects.create(material=ply, day=dt.date(2026, 3, 2), net=100, currency="EUR")
    move = StockMove.objects.create(
        build=build, material=ply, day=dt.date(2026, 3, 2), kind="used", quantity=-1
    )
    return {"material": ply.pk, "part": part.pk, "supplier": supplier.pk, "price": price.pk,
            "move": move.pk}  # fmt: skip


@pytest.mark.parametrize(
    ("name", "of", "who"),
    [
        ("materials", "", LOOK),
        ("material", "material", LOOK),
        ("parts", "", LOOK),
        ("suppliers", "", SEE_MONEY),
        ("material-new", "", CHANGE),
        ("material-edit", "material", CHANGE),
        ("material-delete", "material", CHANGE),
        ("part-new", "", CHANGE),
        ("parts-new", "", CHANGE),
        ("part-edit", "part", CHANGE),
        ("part-delete", "part", CHANGE),
        ("supplier-new", "", CHANGE),
        ("supplier-edit", "supplier", CHANGE),
    ],
)
def test_who_may_open(statuses, rows, name, of, who):
    url = reverse(name, args=["tender", rows[of]] if of else ["tender"])
    assert statuses(lambda client: client.get(url)) == who


@pytest.mark.parametrize(
    ("name", "of", "data", "who"),
    [
        ("stock-take-back", "move", {}, LOGGED),
        ("price-new", "material", {"net": "9", "currency": "EUR", "day": "2026-03-03"}, DONE),
        ("stock-move", "material", {"kind": "used", "amount": "1", "day": "2026-03-03"}, LOGGED),
        ("material-delete", "material", {}, DONE),
    ],
)
def test_who_may_do(statuses, rows, name, of, data, who):
    url = reverse(name, args=["tender", rows[of]])
    assert statuses(lambda client: client.post(url, data)) == who


@pytest.mark.parametrize(
    ("name", "of"),
    [("part-delete", "part"), ("supplier-delete", "supplier"), ("price-delete", "price")],
)
@pytest.mark.parametrize(("who", "status"), DONE.items())
def test_who_may_delete(request, as_person, rows, name, of, who, status):
    client = as_person(request.getfixturevalue(who))
    assert client.post(reverse(name, args=["tender", rows[of]])).status_code == status


@pytest.mark.parametrize(
    ("name", "of"),
    [
        ("material", "material"), ("material-edit", "material"), ("part-edit", "part"),
        ("supplier-edit", "supplier"),
    ],
)  # fmt: skip
def test_rows_of_another_build_are_not_found(as_person, stranger, rows, name, of):
    client = as_person(stranger)
    assert client.get(reverse(name, args=["other", rows[of]])).status_code == 404


@pytest.mark.parametrize(
    ("name", "of"), [("price-delete", "price"), ("stock-take-back", "move"),
                     ("stock-move", "material"), ("price-new", "material")]
)  # fmt: skip
def test_nothing_is_done_by_only_opening_an_address(as_person, owner, rows, name, of):
    assert as_person(owner).get(reverse(name, args=["tender", rows[of]])).status_code == 405


def test_a_price_or_move_of_another_build_is_not_touched(as_person, stranger, rows):
    client = as_person(stranger)
    for name, of in (("price-delete", "price"), ("stock-take-back", "move")):
        client.post(reverse(name, args=["other", rows[of]]))
    assert Price.objects.count() == 1
    assert StockMove.objects.count() == 1


@pytest.mark.parametrize(
    ("name", "of"),
    [("part-delete", "part"), ("material-delete", "spare"), ("supplier-delete", "supplier"),
     ("price-delete", "price"), ("purchase-delete", "purchase")],
)  # fmt: skip
def test_second_click_on_delete_does_no_harm(as_person, owner, build, supplier, rows, name, of):
    yard = Supplier.objects.create(build=build, name="Yard")
    rows |= {
        "spare": Material.objects.create(build=build, name="Spare", kind="cloth", unit="m").pk,
        "supplier": yard.pk,
        "purchase": Purchase.objects.create(
            build=build, supplier=supplier, ordered_on=dt.date(2026, 3, 2), currency="EUR"
        ).pk,
    }
    client = as_person(owner)
    for _ in range(2):
        assert client.post(reverse(name, args=["tender", rows[of]])).status_code == 302
