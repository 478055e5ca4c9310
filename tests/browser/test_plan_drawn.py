"""The drawn plan used with a mouse, by keyboard and by touch: picked, dragged, and taken back."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.devices import DESK, PHONE


@pytest.fixture
def desk(open_window, scene) -> Page:
    return open_window(DESK, scene.site.address, scene["owner"]["session"])


def bar(page: Page, scene, code: str) -> Locator:
    return page.locator(f'a.b-link[data-bar="{scene["tasks"][code]}"]')


def box(page: Page, scene, code: str) -> Locator:
    return page.locator(f'a.n-task[data-box="{scene["tasks"][code]}"]')


def bars_page(page: Page, scene) -> None:
    """Thirteen weeks of bars, in the order of work as it stands."""
    page.goto(scene.url("plan/?span=13&open=all&fresh=yes"))
    expect(page.locator("#drawn")).not_to_have_attribute("hx-get", re.compile("."))


def drag(page: Page, start: tuple[float, float], end: tuple[float, float]) -> None:
    page.mouse.move(*start)
    page.mouse.down()
    page.mouse.move((start[0] + end[0]) / 2, (start[1] + end[1]) / 2, steps=4)
    page.mouse.move(*end, steps=4)
    page.mouse.up()


def work_of(mark: Locator) -> dict[str, float]:
    mark.scroll_into_view_if_needed()
    return mark.locator(".b-heavy, .b-light").bounding_box()


def undo(page: Page) -> None:
    page.locator("#messages").get_by_role("button", name="Undo").click()


def test_a_bar_dragged_to_another_day_is_pinned_after_its_cost_was_told(scene, desk):
    bars_page(desk, scene)
    place = work_of(bar(desk, scene, "N2"))
    per_day = float(desk.locator("figure svg").get_attribute("data-per-day"))
    middle = place["x"] + 2, place["y"] + place["height"] / 2
    drag(desk, middle, (middle[0] + 21 * per_day, middle[1]))
    expect(desk).to_have_url(scene.task("N2", "place/"))
    if desk.get_by_role("heading", name="What that costs").count():
        desk.get_by_role("button", name="Do it").click()
        expect(desk).to_have_url(re.compile(r"/plan/\?span=13"))
        expect(desk.locator("#messages")).to_contain_text("is pinned to its time")
        undo(desk)
        expect(desk.locator("#messages")).to_contain_text("is as it was before")
    else:  # no hours on that day: told there, and nothing is lost
        expect(desk.locator("main")).to_contain_text("no hours with enough hands")


def test_the_end_of_a_bar_dragged_on_makes_it_take_longer(scene, desk):
    bars_page(desk, scene)
    place = work_of(bar(desk, scene, "P1"))
    per_day = float(desk.locator("figure svg").get_attribute("data-per-day"))
    end = place["x"] + place["width"] - 2, place["y"] + place["height"] / 2
    drag(desk, end, (end[0] + 7 * per_day, end[1]))
    expect(desk.locator("#messages")).to_contain_text("takes")
    expect(desk.locator("#messages")).to_contain_text("instead of 40 h")
    undo(desk)
    expect(desk.locator("#messages")).to_contain_text("is as it was before")


def test_escape_leaves_a_dragged_bar_where_it_was(scene, desk):
    bars_page(desk, scene)
    place = work_of(bar(desk, scene, "N2"))
    desk.mouse.move(place["x"] + 2, place["y"] + 7)
    desk.mouse.down()
    desk.mouse.move(place["x"] + 90, place["y"] + 7, steps=5)
    expect(desk.locator(".t-told")).to_contain_text("begins")
    desk.keyboard.press("Escape")
    desk.mouse.up()
    expect(desk.locator(".t-told")).to_have_count(0)
    assert work_of(bar(desk, scene, "N2"))["x"] == pytest.approx(place["x"], abs=1)


def test_a_box_dragged_to_another_makes_a_link_and_a_ring_is_refused(scene, desk):
    desk.goto(scene.url("plan/network/?open=all"))
    desk.locator("figure.plan-network").scroll_into_view_if_needed()
    link(desk, scene, "N1", "N2")
    expect(desk.locator("#messages")).to_contain_text("N2 Varnish the spars waits for N1")
    undo(desk)
    expect(desk.locator("#messages")).to_contain_text("Taken back")
    desk.goto(scene.url("plan/network/?open=all"))
    link(desk, scene, "P2", "F3")
    expect(desk.locator("main")).to_contain_text(re.compile("F3.*P2", re.S))
    expect(desk).to_have_url(scene.task("F3", "links/"))


def link(page: Page, scene, before: str, after: str) -> None:
    ends = []
    for code in (before, after):
        one = box(page, scene, code)
        one.scroll_into_view_if_needed()
        ends.append(one)
    start, end = (one.bounding_box() for one in ends)
    drag(
        page,
        (start["x"] + start["width"] - 12, start["y"] + 50),
        (end["x"] + 20, end["y"] + end["height"] - 30),
    )


def test_the_arrows_go_from_bar_to_bar_and_say_what_is_there(scene, desk):
    bars_page(desk, scene)
    first = desk.locator("figure svg a.b-link").first
    assert desk.locator('figure svg a.b-link[tabindex="0"]').count() == 1
    first.focus()
    desk.keyboard.press("End")
    desk.keyboard.press("ArrowUp")
    desk.keyboard.press("ArrowDown")
    assert desk.evaluate("document.activeElement.dataset.bar") == str(scene["tasks"]["L1"])
    expect(desk.locator("#picked")).to_contain_text("Launch her")
    expect(desk.locator("#picked")).to_contain_text("With the hands there are")
    desk.keyboard.press("Enter")
    expect(desk).to_have_url(scene.task("L1"))


def test_the_arrows_follow_the_links_of_the_network(scene, desk):
    desk.goto(scene.url("plan/network/?open=all&done=yes"))
    box(desk, scene, "F1").focus()
    for _ in range(4):
        desk.keyboard.press("ArrowRight")
    assert desk.evaluate("document.activeElement.dataset.code") == "L1"
    expect(desk.locator("#picked")).to_contain_text("What fixes its early start")
    assert desk.locator(".n-on").count() == 3
    desk.keyboard.press("ArrowLeft")
    assert desk.evaluate("document.activeElement.dataset.code") in ("P2", "N1", "N2")


def test_on_a_phone_a_tap_picks_and_the_card_leads_on(scene, open_window):
    phone = open_window(PHONE, scene.site.address, scene["owner"]["session"])
    bars_page(phone, scene)
    bar(phone, scene, "P1").tap()
    expect(phone.locator("#picked")).to_contain_text("Plane the stringers")
    phone.locator("#picked").get_by_role("link", name="Change its hours").tap()
    expect(phone).to_have_url(scene.task("P1", "edit/"))


def finger(page: Page, start: tuple[float, float], end: tuple[float, float]) -> None:
    """A finger that is put down, moved and lifted."""
    touch = page.context.new_cdp_session(page)

    def send(kind: str, *points: tuple[float, float]) -> None:
        spots = [{"x": x, "y": y} for x, y in points]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": spots})

    send("touchStart", start)
    for step in range(1, 9):
        part = step / 8
        x, y = (a + part * (b - a) for a, b in zip(start, end, strict=True))
        send("touchMove", (x, y))
    send("touchEnd")


def test_on_a_phone_a_picked_bar_is_dragged_longer_and_another_scrolls(scene, open_window):
    phone = open_window(PHONE, scene.site.address, scene["owner"]["session"])
    bars_page(phone, scene)
    one = bar(phone, scene, "P1")
    one.tap()
    expect(phone.locator("#picked")).to_contain_text("Plane the stringers")
    place = work_of(one)
    per_day = float(phone.locator("figure svg").get_attribute("data-per-day"))
    end = place["x"] + place["width"] - 2, place["y"] + place["height"] / 2
    finger(phone, end, (end[0] + 7 * per_day, end[1]))
    expect(phone.locator("#messages")).to_contain_text("instead of 40 h")
    undo(phone)
    expect(phone.locator("#messages")).to_contain_text("is as it was before")
    # What was not picked first is scrolled over, and stays as it is.
    bars_page(phone, scene)
    place = work_of(bar(phone, scene, "P1"))
    end = place["x"] + place["width"] - 2, place["y"] + place["height"] / 2
    finger(phone, end, (end[0] - 60, end[1]))
    expect(phone.locator(".t-told")).to_have_count(0)
    expect(phone).to_have_url(re.compile(r"/plan/\?span=13"))


def test_without_script_every_mark_leads_to_its_sheet(scene, open_window):
    page = open_window(
        DESK, scene.site.address, scene["owner"]["session"], java_script_enabled=False
    )
    page.goto(scene.url("plan/?open=all"))
    bar(page, scene, "L1").locator(".b-hit").click()
    expect(page).to_have_url(scene.task("L1"))
    page.goto(scene.url("plan/network/?open=all"))
    box(page, scene, "L1").click()
    expect(page).to_have_url(scene.task("L1"))
