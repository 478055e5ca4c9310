"""One material: its sheet, its form, its prices, its ledger."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse

from buildlog.materials.models import Material, Price, Purchase, PurchaseLine, StockMove
from buildlog.materials.purchasing import record_purchase
from buildlog.materials.stock import count_stock, stock_of

DAY = dt.date(2026, 3, 2)
NEW = {
    "name": "Okoume ply 9 mm", "kind": "sheet", "unit": "sheet", "length_mm": "2.5 m",
    "width_mm": "1220", "thickness_mm": "9mm", "density": "450", "pack": "1",
    "waste_percent": "15", "cost_kind": "in-boat",
}  # fmt: skip


@pytest.fixture
def client(as_person, owner):
    return as_person(owner)


def url(name, *args):
    return reverse(name, args=["tender", *args])


def as_read(client, address):
    """A form as a browser would send it back untouched."""
    form = client.get(address).context["form"]
    values = {field.html_name: field.value() for field in form}
    return {name: "" if value is None else value for name, value in values.items()}


def test_a_material_is_added_with_lengths_as_written(client, build):
    answer = client.post(url("material-new"), NEW)
    made = Material.objects.get()
    assert answer.url == url("material", made.pk)
    assert (made.length_mm, made.width_mm, made.thickness_mm) == (2500, 1220, 9)


def test_in_a_build_in_inches_a_bare_number_is_inches_and_reads_back(client, build):
    build.length_system = "imperial"
    build.save()
    inches = NEW | {"length_mm": "8'", "width_mm": "48", "thickness_mm": '3/8"'}
    client.post(url("material-new"), inches)
    made = Material.objects.get()
    assert made.width_mm == Decimal("1219.2")
    edit = url("material-edit", made.pk)
    shown = as_read(client, edit)
    assert (shown["length_mm"], shown["thickness_mm"]) == ("8′", "3/8″")
    client.post(edit, shown)
    made.refresh_from_db()
    assert (made.length_mm, made.thickness_mm) == (Decimal("2438.4"), Decimal("9.525"))


def test_second_click_finds_what_the_first_made(client, build):
    answers = [client.post(url("material-new"), NEW) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [302, 302]
    assert Material.objects.count() == 1


def test_another_of_the_same_name_is_refused(client, build):
    client.post(url("material-new"), NEW)
    answer = client.post(url("material-new"), NEW | {"density": "500"})
    assert answer.status_code == 422
    assert "There is a material of that name already." in answer.content.decode()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"name": " "}, "required"),
        ({"kind": "resin"}, "Resin is counted in kg or litre."),
        ({"kind": "nonsense"}, "nonsense is not one of the available choices"),
        ({"length_mm": "long"}, "“long” is not a length"),
        ({"length_mm": "0"}, "is no length"),
        ({"width_mm": "-5"}, "cannot be negative"),
        ({"density": "heavy"}, "is not a number"),
        ({"pack": "0"}, "greater than or equal to 0.001"),
        ({"waste_percent": "900"}, "less than or equal to 500"),
        ({"lead_days": "soon"}, "whole number"),
    ],
)
def test_bad_entries_say_what_and_keep_what_was_typed(client, build, change, says):
    answer = client.post(url("material-new"), NEW | {"notes": "from the yard"} | change)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert says in page
    assert "from the yard" in page
    assert not Material.objects.exists()


def test_two_tabs_do_not_overwrite_each_other(client, ply):
    edit = url("material-edit", ply.pk)
    older, newer = as_read(client, edit), as_read(client, edit)
    client.post(edit, newer | {"density": "470"})
    answer = client.post(edit, older | {"density": "480"})
    assert answer.status_code == 409
    ply.refresh_from_db()
    assert ply.density == 470
    again = answer.context["form"]["read_as"].value()
    client.post(edit, older | {"density": "480", "read_as": again})
    ply.refresh_from_db()
    assert ply.density == 480


def test_what_it_is_counted_in_stands_once_something_is_counted(client, owner, screws):
    edit = url("material-edit", screws.pk)
    change = as_read(client, edit) | {"unit": "kg"}
    assert client.post(edit, change).status_code == 302
    count_stock(screws, Decimal(5), DAY, owner)
    answer = client.post(edit, as_read(client, edit) | {"unit": "each"})
    assert "are counted in kg already" in answer.content.decode()


def test_deleting_is_refused_with_the_reason(client, owner, ply, make_part, make_task):
    make_part("Side", ply, make_task("1"))
    count_stock(ply, Decimal(5), DAY, owner)
    address = url("material-delete", ply.pk)
    assert "1 part and 1 row of the stock ledger hang on it" in client.get(address).content.decode()
    answer = client.post(address, follow=True)
    assert "cannot be deleted: 1 part and 1 row" in answer.content.decode()
    assert Material.objects.exists()


def test_a_material_nothing_hangs_on_goes_with_its_prices(client, ply):
    Price.objects.create(material=ply, day=DAY, net=100, currency="EUR")
    assert "Its 1 price goes with it" in client.get(url("material-delete", ply.pk)).content.decode()
    client.post(url("material-delete", ply.pk))
    assert not Material.objects.exists()


def test_sheet_shows_tasks_in_plan_order_with_what_is_short(
    client, owner, ply, make_part, make_task
):
    later = make_task("B", name="Deck", not_before=dt.date(2030, 1, 1))
    first = make_task("A", name="Frames")
    make_part("Top", ply, later, length_mm=2400, width_mm=1200)
    make_part("Half", ply, first, count=2, mirrored=True, length_mm=1000, width_mm=500)
    count_stock(ply, Decimal(1), DAY, owner)
    answer = client.get(url("material", ply.pk))
    assert [one.planned.pk for one in answer.context["made_for"]] == [first.pk, later.pk]
    assert [one.row.covered for one in answer.context["made_for"]] == [True, False]
    page = answer.content.decode()
    assert "1 pair" in page
    assert "1000 × 500 mm" in page


def test_ledger_shows_what_was_there_after_each_row(client, build, owner, ply):
    count_stock(ply, Decimal(10), DAY, owner)
    StockMove.objects.create(
        build=build, material=ply, day=DAY + dt.timedelta(days=1), kind="used", quantity=-4
    )
    rows = client.get(url("material", ply.pk)).context["moves"]
    assert [(move.kind, move.stood) for move in rows] == [("used", 6), ("counted", 10)]


def test_an_empty_ledger_below_nought_is_said(client, build, ply):
    StockMove.objects.create(build=build, material=ply, day=DAY, kind="used", quantity=-4)
    assert "The ledger is below nought" in client.get(url("material", ply.pk)).content.decode()


@pytest.mark.parametrize(
    ("kind", "amount", "stands"),
    [("used", "2", 8), ("wasted", "1/2", Decimal("9.5")), ("returned", "3 sheets", 7),
     ("counted", "4", 4), ("counted", "0", 0)],
)  # fmt: skip
def test_rows_are_written_by_hand(client, build, owner, ply, kind, amount, stands):
    count_stock(ply, Decimal(10), DAY, owner)
    data = {"kind": kind, "amount": amount, "day": "2026-03-03", "sent_once": "k"}
    for _ in range(2):  # a double click
        assert client.post(url("stock-move", ply.pk), data).status_code == 302
    assert stock_of(build)[ply.pk] == stands
    assert StockMove.objects.get(kind=kind, day=dt.date(2026, 3, 3)).person == owner


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"amount": "a few"}, "is not a quantity"),
        ({"amount": ""}, "required"),
        ({"amount": "-2"}, "less than nothing"),
        ({"amount": "3 kg"}, "is no amount of Ply 9"),
        ({"amount": "0"}, "Only a count may be nought"),
        ({"day": "2999-01-01"}, "still to come"),
        ({"day": "0019-01-01"}, "Check the year"),
        ({"kind": "bought"}, "not one of the available choices"),
        ({"task": "Z9"}, "no task “Z9”"),
    ],
)
def test_bad_rows_say_what_and_keep_what_was_typed(client, ply, change, says):
    data = {"kind": "used", "amount": "1", "day": "2026-03-03", "note": "behind the saw"} | change
    answer = client.post(url("stock-move", ply.pk), data)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert says in page
    assert "behind the saw" in page
    assert not StockMove.objects.exists()


def test_a_row_is_taken_back_by_a_click(client, build, ply):
    move = StockMove.objects.create(build=build, material=ply, day=DAY, kind="used", quantity=-4)
    for _ in range(2):
        client.post(url("stock-take-back", move.pk))
    assert stock_of(build)[ply.pk] == 0
    page = client.get(url("material", ply.pk)).content.decode()
    assert "taken back since" in page
    assert "takes back a row of 2 Mar 2026" in page
    assert 'class="button quiet">Take back' not in page


def test_what_a_purchase_brought_is_not_taken_back_by_itself(client, build, ply):
    move = StockMove.objects.create(build=build, material=ply, day=DAY, kind="bought", quantity=4)
    answer = client.post(url("stock-take-back", move.pk), follow=True)
    assert "Correct the purchase" in answer.content.decode()
    assert StockMove.objects.count() == 1


def test_prices_are_noted_once_and_struck_out(client, ply):
    data = {"net": "94,50", "currency": "eur", "day": "2026-03-02", "supplier": ""}
    for _ in range(2):
        client.post(url("price-new", ply.pk), data)
    price = Price.objects.get()
    assert (price.net, price.currency, price.rate) == (Decimal("94.50"), "EUR", 1)
    client.post(url("price-delete", price.pk))
    assert not Price.objects.exists()


def test_a_price_in_another_currency_without_a_rate_is_no_price_yet(client, ply):
    data = {"net": "80", "currency": "GBP", "day": "2026-03-02"}
    client.post(url("price-new", ply.pk), data)
    page = client.get(url("material", ply.pk)).content.decode()
    assert Price.objects.get().rate is None
    assert "no rate yet" in page
    assert "No price yet" in page


@pytest.mark.parametrize(
    ("change", "says"),
    [({"net": "dear"}, "is not a number"), ({"net": "-1"}, "greater than or equal to 0"),
     ({"currency": "XQX"}, "XQX"), ({"day": "30.2.2026"}, "valid date")],
)  # fmt: skip
def test_bad_prices_say_what(client, ply, change, says):
    data = {"net": "80", "currency": "EUR", "day": "2026-03-02"} | change
    answer = client.post(url("price-new", ply.pk), data)
    assert answer.status_code == 422
    assert says in answer.content.decode()


def test_price_history_is_drawn_with_what_was_paid(client, build, supplier, owner, ply):
    Price.objects.create(material=ply, day=DAY, net=100, currency="EUR")
    paper = Purchase(build=build, supplier=supplier, ordered_on=DAY + dt.timedelta(days=30),
                     currency="EUR")  # fmt: skip
    record_purchase(paper, [PurchaseLine(material=ply, quantity=2, net=220)], owner)
    page = client.get(url("material", ply.pk)).content.decode()
    assert "100.00 EUR on 2 Mar 2026, 110.00 on 1 Apr 2026" in page
    assert url("purchase", paper.pk) in page


def test_money_of_a_material_is_for_those_who_may_see_it(as_person, hand, ply):
    Price.objects.create(material=ply, day=DAY, net=100, currency="EUR")
    page = as_person(hand).get(url("material", ply.pk)).content.decode()
    assert "€" not in page
    assert "What it costs" not in page
    assert "Write a row" in page


def test_sheet_takes_the_same_queries_whatever_the_rows(
    same_queries, owner, build, supplier, ply, make_task, make_part
):
    def add(n):
        make_part("Side", ply, make_task(str(n)), length_mm=240, width_mm=120)
        Price.objects.create(material=ply, day=DAY, net=100 + n, currency="EUR")
        move = StockMove.objects.create(
            build=build, material=ply, day=DAY, kind="used", quantity=-1, person=owner
        )
        if n % 2:
            StockMove.objects.create(build=build, material=ply, day=DAY, kind="used", quantity=1,
                                     corrects=move)  # fmt: skip
        paper = Purchase(build=build, supplier=supplier, ordered_on=DAY, arrived_on=DAY,
                         currency="EUR")  # fmt: skip
        record_purchase(paper, [PurchaseLine(material=ply, quantity=1, net=9)], owner)

    same_queries(owner, url("material", ply.pk), add)
