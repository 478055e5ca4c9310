import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse

from buildlog.materials.models import Price
from buildlog.money.behind import BEHIND
from buildlog.money.models import Budget, StandingCost


@pytest.fixture
def shelf(build, ply, make_task, make_part):
    Price.objects.create(material=ply, day=dt.date(2026, 3, 2), net=100, currency="EUR")
    make_part("Side", ply, make_task("1", hours=3), length_mm=2400, width_mm=600)
    StandingCost.objects.create(build=build, name="Rent", a_month=310, first=dt.date(2026, 1, 1))


def test_money_sheet_shows_the_sums(as_person, owner, build, shelf):
    page = as_person(owner).get(reverse("money", args=["tender"])).content.decode()
    assert "Cost to finish" in page
    assert "€125.00" in page


@pytest.mark.parametrize("name", sorted(BEHIND))
def test_every_sum_opens_to_its_rows(as_person, owner, build, shelf, name):
    answer = as_person(owner).get(reverse("money-rows", args=["tender", name]))
    assert answer.status_code == 200


def test_no_such_sum_is_not_found(as_person, owner, build):
    assert as_person(owner).get(reverse("money-rows", args=["tender", "nought"])).status_code == 404


def test_standing_cost_is_added_corrected_and_taken_out(as_person, owner, build):
    client = as_person(owner)
    data = {"name": "Heat", "a_month": "60,50", "first": "2026-01-01", "last": ""}
    client.post(reverse("standing-new", args=["tender"]), data)
    cost = StandingCost.objects.get()
    assert cost.a_month == Decimal("60.50")
    url = reverse("standing-edit", args=["tender", cost.pk])
    answer = client.post(url, data | {"last": "2025-12-31"})
    assert "must not end before it begins" in answer.content.decode()
    client.post(url, data | {"delete": "yes"})
    assert not StandingCost.objects.exists()


def test_what_is_put_by_can_be_set(as_person, owner, build):
    client = as_person(owner)
    for percent in ("12,5", "15"):
        client.post(reverse("budget", args=["tender"]), {"contingency_percent": percent})
    assert Budget.objects.get().contingency_percent == 15


@pytest.mark.parametrize(
    ("who", "look", "change"),
    [("owner", 200, 200), ("planner", 200, 200), ("hand", 403, 403), ("onlooker", 403, 403),
     ("stranger", 404, 404)],
)  # fmt: skip
def test_who_may(request, as_person, build, who, look, change):
    client = as_person(request.getfixturevalue(who))
    assert client.get(reverse("money", args=["tender"])).status_code == look
    assert client.get(reverse("standing-new", args=["tender"])).status_code == change


def test_onlooker_who_may_see_the_money_sees_but_does_not_change(as_person, onlooker, build):
    onlooker.crew_of.update(sees_money=True)
    client = as_person(onlooker)
    assert client.get(reverse("money", args=["tender"])).status_code == 200
    assert client.get(reverse("standing-new", args=["tender"])).status_code == 403


@pytest.mark.parametrize("rows", [3, 30])
@pytest.mark.parametrize("name", ["", "by-material", "to-buy"])
def test_pages_take_the_same_queries_whatever_the_rows(
    as_person, owner, build, ply, make_task, make_part, rows, name, django_assert_max_num_queries
):
    for n in range(rows):
        make_part("Side", ply, make_task(str(n)), length_mm=200, width_mm=60)
    client = as_person(owner)
    url = (
        reverse("money-rows", args=["tender", name]) if name else reverse("money", args=["tender"])
    )
    with django_assert_max_num_queries(28):
        assert client.get(url).status_code == 200
