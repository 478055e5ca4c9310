"""Shopping: what to order and by when; a purchase with its paper; the stock goes up."""

from __future__ import annotations

import datetime as dt

from playwright.sync_api import expect

PAPER = {"name": "receipt.pdf", "mimeType": "application/pdf",
         "buffer": b"%PDF-1.4\n1 0 obj\n<<>>\nendobj\ntrailer\n<<>>\n"}  # fmt: skip


def test_what_to_order_then_its_purchase_and_the_stock_goes_up(scene, page, press):
    page.goto(scene.url("materials/"))
    orders = page.locator("ul.orders > li", has_text="Plywood 9 mm")
    # Six planks of 2.4 by 0.4 m with waste want three sheets of 2.5 by 1.22 m; two are there.
    expect(orders.locator(".much")).to_have_text("1 sheet")
    expect(orders.locator(".reason")).to_contain_text("rder")
    expect(orders.locator(".reason")).to_contain_text("Hang the planking")

    press(page.get_by_role("link", name="Enter an order"))
    today = dt.date.today().isoformat()
    page.get_by_label("Supplier").fill("Timber yard")
    page.get_by_label("Receipt number").fill("TY-2")
    for name in ("Ordered", "Paid", "Arrived"):
        page.get_by_label(name).fill(today)
    line = page.locator("fieldset.line").first
    line.get_by_label("Material").select_option(str(scene["pks"]["material"]))
    line.get_by_label("How many").fill("three")
    line.get_by_label("Net").fill("283.50")
    page.get_by_label("Receipt (optional)", exact=True).set_input_files(PAPER)
    press(page.get_by_role("button", name="Save the purchase"))

    # Refused for one cell; all the rest, the paper too, is still there.
    expect(page.locator(".problem").first).to_be_visible()
    expect(page.get_by_label("Receipt number")).to_have_value("TY-2")
    expect(page.get_by_text("The paper is kept: receipt.pdf")).to_be_visible()
    line.get_by_label("How many").fill("3")
    press(page.get_by_role("button", name="Save the purchase"))

    expect(page.locator("h1")).to_be_visible()
    expect(page.locator("main")).to_contain_text("283.50")
    with page.expect_download() as download:
        press(page.get_by_role("link", name="receipt.pdf"))
    assert download.value.path().read_bytes() == PAPER["buffer"]

    page.goto(scene.url(f"materials/{scene['pks']['material']}/"))
    expect(page.locator("main")).to_contain_text("5 sheets")
    page.goto(scene.url("materials/"))
    expect(page.locator("ul.orders > li", has_text="Plywood 9 mm")).to_have_count(0)


def test_saving_a_purchase_twice_makes_one(scene, page):
    page.goto(scene.url("purchases/new/"))
    page.get_by_label("Supplier").fill("Chandlery")
    page.get_by_label("Ordered", exact=True).fill(dt.date.today().isoformat())
    line = page.locator("fieldset.line").first
    line.get_by_label("Or what else").fill("Brushes")
    line.get_by_label("How many").fill("4")
    line.get_by_label("Net").fill("12")
    page.get_by_role("button", name="Save the purchase").evaluate(
        "button => { button.click(); button.click(); }"
    )
    expect(page).not_to_have_url(scene.url("purchases/new/"))
    page.goto(scene.url("purchases/"))
    expect(page.get_by_role("row", name="Chandlery")).to_have_count(1)
