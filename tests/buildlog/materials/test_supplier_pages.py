from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse

from buildlog.materials.models import Purchase, Supplier
from tests.buildlog.materials.test_material_pages import as_read

NEW = {"name": "Resin Counter", "lead_days": "4", "freight_percent": "8,5", "tax_percent": "21"}


@pytest.fixture
def client(as_person, owner):
    return as_person(owner)


def url(name, *args):
    return reverse(name, args=["tender", *args])


def test_a_supplier_is_added_once_and_changed(client, build):
    for _ in range(2):
        assert client.post(url("supplier-new"), NEW).status_code == 302
    row = Supplier.objects.get()
    assert (row.lead_days, row.freight_percent) == (4, 8.5)
    edit = url("supplier-edit", row.pk)
    client.post(edit, as_read(client, edit) | {"lead_days": ""})
    row.refresh_from_db()
    assert (row.lead_days, row.tax_percent) == (0, 21)


@pytest.mark.parametrize(
    ("change", "says"),
    [({"name": ""}, "required"), ({"lead_days": "-1"}, "greater than or equal to 0"),
     ({"tax_percent": "much"}, "is not a number"),
     ({"freight_percent": "900"}, "less than or equal to 500")],
)  # fmt: skip
def test_bad_entries_say_what(client, build, change, says):
    answer = client.post(url("supplier-new"), NEW | {"notes": "ring first"} | change)
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert "ring first" in answer.content.decode()
    assert not Supplier.objects.exists()


def test_two_tabs_do_not_overwrite_each_other(client, supplier):
    edit = url("supplier-edit", supplier.pk)
    older, newer = as_read(client, edit), as_read(client, edit)
    client.post(edit, newer | {"lead_days": "7"})
    assert client.post(edit, older | {"lead_days": "9"}).status_code == 409
    supplier.refresh_from_db()
    assert supplier.lead_days == 7


def test_a_supplier_something_was_bought_from_stays(client, build, supplier, ply):
    Purchase.objects.create(build=build, supplier=supplier, ordered_on=dt.date(2026, 3, 2),
                            currency="EUR")  # fmt: skip
    answer = client.post(url("supplier-delete", supplier.pk), follow=True)
    says = "cannot be deleted: what was bought there stays in the books, 1 purchase."
    assert says in answer.content.decode()
    assert Supplier.objects.exists()


def test_a_supplier_nothing_was_bought_from_goes_and_materials_stay(client, supplier, ply):
    for _ in range(2):
        assert client.post(url("supplier-delete", supplier.pk)).status_code == 302
    ply.refresh_from_db()
    assert ply.supplier is None


def test_list_takes_the_same_queries_whatever_the_rows(same_queries, owner, build):
    def add(n):
        Supplier.objects.create(build=build, name=f"Yard {n}")

    same_queries(owner, url("suppliers"), add)
