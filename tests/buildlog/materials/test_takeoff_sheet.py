"""The takeoff sheet: what is shown to whom."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse

from buildlog.materials.models import Material, Price
from buildlog.materials.stock import count_stock

DAY = dt.date(2026, 3, 2)


@pytest.fixture
def sheet(as_person):
    def get(person, **asked):
        return as_person(person).get(reverse("materials", args=["tender"]), asked)

    return get


@pytest.fixture
def priced(ply, make_task, make_part):
    Price.objects.create(material=ply, day=DAY, net=100, currency="EUR")
    return make_part("Side", ply, make_task("T1"), length_mm=2400, width_mm=1200)


def test_an_empty_build_says_what_to_do(sheet, owner):
    page = sheet(owner).content.decode()
    assert "No materials yet" in page
    assert reverse("material-new", args=["tender"]) in page


def test_it_shows_need_price_and_what_to_order(sheet, owner, priced):
    page = sheet(owner).content.decode()
    assert "0.94 sheets" in page  # 2.88 m² of 3.05
    assert "1.04 sheets" in page
    assert "€125.00" in page  # 100, 20 % tax, 5 % freight
    assert "€250.00" in page
    assert "T1" in page


def test_money_is_for_those_who_may_see_it(sheet, hand, onlooker, priced):
    for person in (hand, onlooker):
        page = sheet(person).content.decode()
        assert "€" not in page
        assert "Comes to" not in page
        assert "2 sheets" in page
        assert reverse("purchases", args=["tender"]) not in page
    onlooker.crew_of.update(sees_money=True)
    assert "€250.00" in sheet(onlooker).content.decode()


def test_it_says_why_cutting_asks_for_more_than_the_area(sheet, owner, ply, make_task, make_part):
    # Three of 1300 x 700 are 0.985 of a sheet with waste, but one of 2500 x 1220 holds only one.
    make_part("Top", ply, make_task("1"), count=3, length_mm=1300, width_mm=700)
    page = sheet(owner).content.decode()
    assert "1 sheet by amount" in page
    assert "do not come out of it" in page


def test_it_names_parts_that_cannot_be_reckoned_or_cut(
    sheet, owner, onlooker, ply, make_task, make_part
):
    bare = make_part("Bare", ply, make_task("1"))
    make_part("Keel", ply, make_task("2"), length_mm=4000, width_mm=600)
    page = sheet(owner).content.decode()
    assert "Bare: its length and width are needed" in page
    assert "Keel: it does not come out of one sheet of Ply 9" in page
    assert reverse("part-edit", args=["tender", bare.pk]) in page
    assert reverse("part-edit", args=["tender", bare.pk]) not in sheet(onlooker).content.decode()


def test_it_can_be_cut_down_to_a_kind_or_to_what_is_to_buy(sheet, owner, ply, screws, priced):
    def shown(**asked):
        groups = sheet(owner, **asked).context["kinds"]
        return [row.material.name for group in groups for row in group.rows]

    count_stock(screws, Decimal(50), DAY, owner)
    assert shown() == ["Ply 9", "Screws"]
    assert shown(kind="fastener") == ["Screws"]
    assert shown(only="to-buy") == ["Ply 9"]
    assert shown(only="in-stock") == ["Screws"]
    assert shown(kind="nonsense") == []


def test_resin_and_coatings_carry_their_caution(sheet, owner, build):
    Material.objects.create(build=build, name="Epoxy", kind="resin", unit="kg")
    assert 'class="caution"' in sheet(owner).content.decode()
    Material.objects.update(kind="fastener")
    assert 'class="caution"' not in sheet(owner).content.decode()


def test_old_prices_are_marked(sheet, owner, priced):
    Price.objects.update(day=dt.date(2020, 1, 1))
    assert "over a year old" in sheet(owner).content.decode()


def test_it_takes_the_same_queries_whatever_the_rows(
    same_queries, owner, build, make_task, make_part
):
    def add(n):
        material = Material.objects.create(
            build=build, name=f"Ply {n}", kind="sheet", unit="sheet", length_mm=2500,
            width_mm=1220, thickness_mm=9,
        )  # fmt: skip
        Price.objects.create(material=material, day=DAY, net=100, currency="EUR")
        make_part("Side", material, make_task(str(n)), length_mm=2400, width_mm=1200)
        make_part("Bare", material, make_task(f"b{n}"))
        make_part("Keel", material, make_task(f"k{n}"), length_mm=4000, width_mm=600)

    same_queries(owner, reverse("materials", args=["tender"]), add)


def test_it_opens_without_shop_hours_too(sheet, as_person, owner, build, ply, priced):
    build.shop_hours.all().delete()
    page = sheet(owner)
    assert page.status_code == 200
    assert "2 sheets" in page.content.decode()
    assert as_person(owner).get(reverse("material", args=["tender", ply.pk])).status_code == 200
