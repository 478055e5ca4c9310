import datetime as dt
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from buildlog.materials.models import Purchase, PurchaseLine, StockMove
from buildlog.materials.purchasing import record_purchase

PDF = b"%PDF-1.4\n1 0 obj\n<<>>\nendobj\ntrailer\n<<>>\n%%EOF\n"


def form_data(material, **more):
    data = {
        "supplier_name": "Harbour Timber",
        "receipt_number": "HT-1",
        "ordered_on": "2026-03-02",
        "paid_on": "2026-03-02",
        "arrived_on": "2026-03-05",
        "currency": "EUR",
        "freight": "25,00",
        "sent_once": "k1",
        "lines-TOTAL_FORMS": "4",
        "lines-INITIAL_FORMS": "0",
        "lines-0-material": material.pk,
        "lines-0-quantity": "2",
        "lines-0-net": "178,00",
        "lines-0-tax": "37.38",
        "lines-0-cost_kind": "in-boat",
    }
    for n in range(1, 4):
        data[f"lines-{n}-cost_kind"] = "in-boat"
    return data | more


@pytest.fixture
def bought(build, supplier, ply, owner):
    purchase = Purchase(
        build=build, supplier=supplier, ordered_on=dt.date(2026, 3, 2), currency="EUR"
    )
    return record_purchase(
        purchase, [PurchaseLine(material=ply, quantity=Decimal(2), net=Decimal(178))], owner
    )


def as_read(client, purchase, material):
    """The form of a purchase of one line, as a browser would send it back."""
    form = client.get(reverse("purchase-edit", args=["tender", purchase.pk])).context["form"]
    line = purchase.lines.order_by("pk").first()
    return form_data(
        material, sent_once=form["sent_once"].value(), read_as=form["read_as"].value(),
        **{"lines-INITIAL_FORMS": "1", "lines-0-id": line.pk},
    )  # fmt: skip


def correct(client, purchase, material, **change):
    url = reverse("purchase-edit", args=["tender", purchase.pk])
    assert client.post(url, as_read(client, purchase, material) | change).status_code == 302


def test_entering_a_purchase_puts_it_in_the_books_and_in_stock(as_person, owner, build, ply):
    answer = as_person(owner).post(reverse("purchase-new", args=["tender"]), form_data(ply))
    purchase = Purchase.objects.get()
    assert answer.url == reverse("purchase", args=["tender", purchase.pk])
    assert purchase.supplier.name == "Harbour Timber"
    assert purchase.freight == 25
    assert StockMove.objects.get().quantity == 2


def test_saving_twice_makes_one(as_person, owner, build, ply):
    client = as_person(owner)
    for _ in range(2):
        assert (
            client.post(reverse("purchase-new", args=["tender"]), form_data(ply)).status_code == 302
        )
    assert Purchase.objects.count() == 1
    assert StockMove.objects.count() == 1


def test_new_supplier_is_kept_and_an_old_one_found_whatever_the_case(as_person, owner, build, ply):
    client = as_person(owner)
    for n, name in enumerate(["Resin Counter", "resin counter"]):
        data = form_data(ply, supplier_name=name, receipt_number=str(n), sent_once=str(n))
        client.post(reverse("purchase-new", args=["tender"]), data)
    assert build.suppliers.filter(name__iexact="resin counter").count() == 1
    assert Purchase.objects.count() == 2


def test_same_receipt_again_is_refused_and_what_was_typed_stays(as_person, owner, build, ply):
    client = as_person(owner)
    client.post(reverse("purchase-new", args=["tender"]), form_data(ply))
    answer = client.post(
        reverse("purchase-new", args=["tender"]),
        form_data(ply, sent_once="k2", notes="second time"),
    )
    assert answer.status_code == 422
    assert "with that receipt number is in already" in answer.content.decode()
    assert "second time" in answer.content.decode()
    assert Purchase.objects.count() == 1


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"lines-0-quantity": "abc"}, "is not a number"),
        ({"lines-0-net": "-5"}, "greater than or equal to 0"),
        ({"lines-0-material": "", "lines-0-what": ""}, "Choose a material, or say what it is."),
        ({"currency": "XXQ"}, "XXQ"),
        ({"arrived_on": "2026-03-01"}, "cannot arrive before it was ordered"),
        ({"freight": "25.0051"}, "finer than EUR goes"),
        ({"supplier_name": ""}, "required"),
    ],
)
def test_bad_entries_say_what_and_keep_nothing(as_person, owner, build, ply, change, says):
    answer = as_person(owner).post(
        reverse("purchase-new", args=["tender"]), form_data(ply, **change)
    )
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert not Purchase.objects.exists()


def test_a_purchase_needs_a_line(as_person, owner, build, ply):
    data = {k: v for k, v in form_data(ply).items() if not k.startswith("lines-0")}
    data["lines-0-cost_kind"] = "in-boat"
    answer = as_person(owner).post(reverse("purchase-new", args=["tender"]), data)
    assert "at least one line" in answer.content.decode()


def test_receipt_is_kept_and_only_given_to_those_who_see_money(
    as_person, owner, hand, stranger, build, ply
):
    paper = SimpleUploadedFile("receipt.pdf", PDF, "application/pdf")
    as_person(owner).post(
        reverse("purchase-new", args=["tender"]), form_data(ply, receipt_file=paper)
    )
    purchase = Purchase.objects.get()
    assert purchase.receipt.mime == "application/pdf"
    url = reverse("purchase-receipt", args=["tender", purchase.pk])
    answer = as_person(owner).get(url)
    assert b"".join(answer.streaming_content) == PDF
    assert "attachment" in answer["Content-Disposition"]
    assert as_person(hand).get(url).status_code == 403
    assert as_person(stranger).get(url).status_code == 404


def test_receipt_of_a_wrong_kind_is_refused_and_leaves_nothing(as_person, owner, build, ply):
    page = SimpleUploadedFile("receipt.pdf", b"<html><script>x</script></html>", "application/pdf")
    answer = as_person(owner).post(
        reverse("purchase-new", args=["tender"]), form_data(ply, receipt_file=page)
    )
    assert answer.status_code == 422
    assert not Purchase.objects.exists()
    assert not build.files.exists()


def test_correcting_changes_the_stock_by_a_further_row(as_person, owner, build, ply, bought):
    client = as_person(owner)
    correct(client, bought, ply, **{"lines-0-quantity": "3"})
    assert [move.quantity for move in StockMove.objects.all()] == [3]
    correct(client, bought, ply, **{"lines-0-quantity": "1"})
    assert [move.quantity for move in StockMove.objects.all()] == [3, -2]


def test_second_click_on_a_correction_adds_no_line_twice(as_person, owner, build, ply, bought):
    client = as_person(owner)
    data = as_read(client, bought, ply) | {"lines-1-what": "Glue", "lines-1-quantity": "1",
                                           "lines-1-net": "9"}  # fmt: skip
    url = reverse("purchase-edit", args=["tender", bought.pk])
    assert [client.post(url, data).status_code for _ in range(2)] == [302, 302]
    assert bought.lines.count() == 2


def test_two_tabs_do_not_overwrite_each_other(as_person, owner, build, ply, bought):
    client = as_person(owner)
    older = as_read(client, bought, ply) | {"notes": "from the older tab"}
    correct(client, bought, ply, **{"lines-0-quantity": "3"})
    url = reverse("purchase-edit", args=["tender", bought.pk])
    refused = client.post(url, older)
    assert refused.status_code == 409
    assert "from the older tab" in refused.content.decode()
    assert bought.lines.get().quantity == 3
    bought.refresh_from_db()
    assert bought.notes == ""


def test_paper_sent_with_a_form_that_was_refused_need_not_be_sent_again(
    as_person, owner, build, ply
):
    client, url = as_person(owner), reverse("purchase-new", args=["tender"])
    paper = SimpleUploadedFile("receipt.pdf", PDF, "application/pdf")
    refused = client.post(url, form_data(ply, receipt_file=paper, **{"lines-0-net": "x"}))
    assert "receipt.pdf" in refused.content.decode()
    kept = refused.context["form"]["receipt_kept"].value()
    client.post(url, form_data(ply, receipt_kept=kept))
    assert Purchase.objects.get().receipt.name == "receipt.pdf"


def test_paper_of_another_build_cannot_be_asked_for(as_person, owner, build, ply):
    data = form_data(ply, receipt_kept="1:forged")
    as_person(owner).post(reverse("purchase-new", args=["tender"]), data)
    assert Purchase.objects.get().receipt is None


def test_more_lines_keeps_what_was_typed(as_person, owner, build, ply):
    answer = as_person(owner).post(
        reverse("purchase-new", args=["tender"]), form_data(ply, more="yes", notes="so far")
    )
    page = answer.content.decode()
    assert not Purchase.objects.exists()
    assert "so far" in page
    assert answer.context["lines"].total_form_count() == 10


def test_arrived_and_paid_by_a_click_and_a_second_click_does_nothing(
    as_person, owner, build, bought
):
    client = as_person(owner)
    for step in ("arrived", "paid"):
        for _ in range(2):
            client.post(reverse(f"purchase-{step}", args=["tender", bought.pk]))
    bought.refresh_from_db()
    assert bought.arrived_on
    assert bought.paid_on
    assert StockMove.objects.count() == 1


def test_deleting_takes_it_out_of_stock_by_a_row_that_stays(as_person, owner, build, bought):
    client = as_person(owner)
    client.post(reverse("purchase-arrived", args=["tender", bought.pk]))
    client.post(reverse("purchase-delete", args=["tender", bought.pk]))
    assert not Purchase.objects.exists()
    assert [move.quantity for move in StockMove.objects.all()] == [2, -2]


@pytest.mark.parametrize(
    ("who", "look", "change"),
    [("owner", 200, 302), ("planner", 200, 302), ("hand", 403, 403), ("onlooker", 403, 403),
     ("stranger", 404, 404)],
)  # fmt: skip
def test_who_may(request, as_person, build, ply, bought, who, look, change):
    client = as_person(request.getfixturevalue(who))
    assert client.get(reverse("purchases", args=["tender"])).status_code == look
    assert client.get(reverse("purchase", args=["tender", bought.pk])).status_code == look
    answer = client.post(reverse("purchase-new", args=["tender"]), form_data(ply))
    assert answer.status_code == change


@pytest.mark.parametrize("rows", [3, 30])
def test_list_takes_the_same_queries_whatever_the_rows(
    as_person, owner, build, supplier, ply, rows, django_assert_max_num_queries
):
    for n in range(rows):
        purchase = Purchase(
            build=build, supplier=supplier, ordered_on=dt.date(2026, 3, 2), currency="EUR"
        )
        line = PurchaseLine(material=ply, quantity=Decimal(n + 1), net=Decimal(10))
        record_purchase(purchase, [line], owner)
    client = as_person(owner)
    with django_assert_max_num_queries(9):
        client.get(reverse("purchases", args=["tender"]))
