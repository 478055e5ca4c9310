"""Sunday night: mark a task done, say what it used, see the dates and the cost move; undo."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect


@pytest.fixture(params=[True, False], ids=["script", "no script"])
def page(request, open_window, device, scene) -> Page:
    return open_window(
        device, scene.site.address, scene["owner"]["session"], java_script_enabled=request.param
    )


def standing(page: Page, scene) -> dict[str, str]:
    """What the bench says of the whole: launch, its reason, the money."""
    page.goto(scene.url("plan/launch/"))  # here the order of work is reckoned anew
    expect(page.locator("h1")).to_be_visible()
    page.goto(scene.url())
    return {
        "launch": page.locator(".aside time").first.get_attribute("datetime") or "",
        "chain": page.locator(".aside ol.chain").inner_text(),
        "money": page.locator(".aside dl.sums").inner_text(),
    }


def stock(page: Page, scene) -> str:
    page.goto(scene.url(f"materials/{scene['pks']['resin']}/"))
    return page.locator("main").inner_text()


def test_finish_confirm_the_use_and_undo(scene, page, press):
    before = standing(page, scene)
    jobs = page.locator("ol.jobs")
    press(jobs.get_by_role("button", name="Start Plane the stringers"))
    press(page.locator("section.running").get_by_role("button", name="Finish"))

    expect(page.get_by_role("heading", name="What did it use?")).to_be_visible()
    amount = page.get_by_label("Epoxy")
    assert amount.input_value().startswith("2")
    amount.fill("a lot")
    press(page.get_by_role("button", name="Take it from stock"))
    expect(page.locator(".problem").first).to_be_visible()
    expect(amount).to_have_value("a lot")
    amount.fill("3.5")
    press(page.get_by_role("button", name="Take it from stock"))

    expect(page.locator("#messages")).to_contain_text("Taken from stock")
    after = standing(page, scene)
    assert after["launch"] < before["launch"]
    assert after["chain"] != before["chain"]
    assert after["money"] != before["money"]  # the shed costs fewer months
    assert jobs.get_by_text("Plane the stringers").count() == 0

    page.goto(scene.task("P1"))
    press(page.get_by_role("button", name="Undo"))
    expect(page.locator("#messages")).to_contain_text("Undone")
    back = standing(page, scene)
    assert back["money"].split() == before["money"].split()
    assert back["launch"] == before["launch"]
    assert back["chain"] == before["chain"]


def test_stock_falls_by_what_was_used_and_rises_again(scene, page, press):
    page.goto(scene.task("P1"))
    press(page.get_by_role("button", name="Finish"))
    page.get_by_label("Epoxy").fill("2.5")
    press(page.get_by_role("button", name="Take it from stock"))
    expect(page.locator("#messages")).to_contain_text("Taken from stock")
    words = stock(page, scene)
    assert "3.5 kg" in words
    page.goto(scene.task("P1"))
    press(page.get_by_role("button", name="Undo"))
    expect(page.locator("#messages")).to_contain_text("Undone")
    words = stock(page, scene)
    assert "6 kg" in words


def test_finishing_twice_does_it_once(scene, page, press, open_window, device):
    other = open_window(device, scene.site.address, scene["owner"]["session"])
    other.goto(scene.task("N2"))
    page.goto(scene.task("N2"))
    press(page.get_by_role("button", name="Finish"))
    expect(page.locator("main .facts").first).to_contain_text("curing")
    press(other.get_by_role("button", name="Finish"))
    expect(other.locator("#messages, .problem").first).to_contain_text("Varnish the spars")
    expect(other.locator("main .facts").first).to_contain_text("curing")
