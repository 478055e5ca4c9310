import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse

from buildlog.materials.models import Price, Purchase
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


HEAT = {"name": "Heat", "a_month": "60,50", "first": "2026-01-01", "last": ""}


def as_read(client, url):
    """A form as a browser would send it back untouched."""
    form = client.get(url).context["form"]
    values = {field.html_name: field.value() for field in form}
    return {name: "" if value is None else value for name, value in values.items()}


def test_standing_cost_is_added_once_corrected_and_taken_out(as_person, owner, build):
    client = as_person(owner)
    for _ in range(2):
        client.post(reverse("standing-new", args=["tender"]), HEAT)
    cost = StandingCost.objects.get()
    assert cost.a_month == Decimal("60.50")
    url = reverse("standing-edit", args=["tender", cost.pk])
    answer = client.post(url, as_read(client, url) | {"last": "2025-12-31"})
    assert answer.status_code == 422
    assert "must not end before it begins" in answer.content.decode()
    client.post(url, as_read(client, url) | {"last": "2026-06-30"})
    assert StandingCost.objects.get().last == dt.date(2026, 6, 30)
    for _ in range(2):
        client.post(reverse("standing-delete", args=["tender", cost.pk]))
    assert not StandingCost.objects.exists()


@pytest.mark.parametrize(
    ("change", "says"),
    [({"name": ""}, "required"), ({"a_month": "much"}, "is not a number"),
     ({"a_month": "-1"}, "greater than or equal to 0"), ({"first": "31/02/2026"}, "valid date")],
)  # fmt: skip
def test_bad_standing_costs_say_what_and_keep_what_was_typed(as_person, owner, build, change, says):
    url = reverse("standing-new", args=["tender"])
    answer = as_person(owner).post(url, HEAT | {"last": "2027-01-31"} | change)
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert "2027-01-31" in answer.content.decode()
    assert not StandingCost.objects.exists()


def test_two_tabs_do_not_overwrite_each_other(as_person, owner, build):
    client = as_person(owner)
    cost = StandingCost.objects.create(build=build, name="Rent", a_month=310, first="2026-01-01")
    url = reverse("standing-edit", args=["tender", cost.pk])
    older, newer = as_read(client, url), as_read(client, url)
    client.post(url, newer | {"a_month": "320"})
    assert client.post(url, older | {"a_month": "330"}).status_code == 409
    assert StandingCost.objects.get().a_month == 320


def test_what_is_put_by_can_be_set(as_person, owner, build):
    client, url = as_person(owner), reverse("budget", args=["tender"])
    for percent in ("12,5", "15"):
        assert client.post(url, as_read(client, url) | {"contingency_percent": percent}).url
    assert Budget.objects.get().contingency_percent == 15
    bad = as_read(client, url) | {"contingency_percent": "much"}
    assert client.post(url, bad).status_code == 422


def test_money_sheet_draws_what_was_spent_and_says_it_in_words(as_person, owner, build, shelf):
    page = as_person(owner).get(reverse("money", args=["tender"])).content.decode()
    assert page.count("<svg") == 2  # for a desk and for a phone
    assert "EUR spent by" in page
    assert "Nothing bought yet" in page


def test_papers_that_are_missing_are_counted(as_person, owner, build, supplier):
    Purchase.objects.create(build=build, supplier=supplier, ordered_on=dt.date(2026, 3, 2),
                            currency="EUR")  # fmt: skip
    page = as_person(owner).get(reverse("money", args=["tender"])).content.decode()
    assert f"{reverse('purchases', args=['tender'])}?only=no-paper" in page


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
