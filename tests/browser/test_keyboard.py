"""By keyboard alone: sign in, find the job on the bench, start it and stop it."""

from __future__ import annotations

from playwright.sync_api import Locator, Page, expect

from tests.browser.devices import DESK

MOST_TABS = 60

FOCUS_SHOWS = """place => {
  const style = getComputedStyle(place);
  return style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
}"""


def tab_to(page: Page, wanted: Locator) -> None:
    """Press Tab until it has the focus; each stop on the way must show that it has it."""
    for _ in range(MOST_TABS):
        if wanted.evaluate("place => place === document.activeElement"):
            return
        page.keyboard.press("Tab")
        here = page.locator("*:focus")
        if here.count():  # none at the ends of the page
            assert here.evaluate(FOCUS_SHOWS), here.evaluate("place => place.outerHTML")
    raise AssertionError(f"Not reached by {MOST_TABS} tabs: {wanted}")


def test_sign_in_start_and_stop(scene, open_window):
    page = open_window(DESK)
    page.goto(scene.url())
    tab_to(page, page.get_by_label("Sign-in name"))
    page.keyboard.type(scene["owner"]["username"])
    tab_to(page, page.get_by_label("Password"))
    page.keyboard.type(scene["owner"]["password"])
    page.keyboard.press("Enter")
    expect(page).to_have_url(scene.url())

    tab_to(page, page.get_by_role("link", name="Skip to the sheet"))
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "content"
    tab_to(page, page.locator("ol.jobs").get_by_role("button", name="Start Plane the stringers"))
    page.keyboard.press("Enter")
    expect(page.locator("section.running")).to_be_visible()
    tab_to(page, page.locator("section.running").get_by_role("button", name="Stop"))
    page.keyboard.press("Space")
    expect(page.locator("section.running")).to_have_count(0)


def test_the_drawn_plan_can_be_scrolled_and_its_bars_opened(scene, open_window):
    page = open_window(DESK, scene.site.address, scene["owner"]["session"])
    page.goto(scene.url("plan/"))
    tab_to(page, page.get_by_role("link", name="Plane the stringers").first)
    page.keyboard.press("Enter")
    expect(page).to_have_url(scene.task("P1"))
