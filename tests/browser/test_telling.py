"""Telling: an update with photos is shown, read from outside, and taken back."""

from __future__ import annotations

import re

from playwright.sync_api import expect


def test_an_update_is_shown_read_from_outside_and_taken_back(
    scene, page, press, open_window, device
):
    page.goto(scene.url("supporters/updates/"))
    press(page.get_by_role("link", name=re.compile("(Write|Add|New).*")).first)
    page.get_by_label("Title").fill("The stringers lie fair")
    page.get_by_label("Text").fill("Planed on a *cold* morning.")
    press(page.locator("main button.first"))
    expect(page.get_by_role("button", name="Show it")).to_be_visible()
    press(page.get_by_role("link", name="Choose photos"))
    press(page.locator("label.pick").nth(2))
    press(page.get_by_role("button", name="Save these"))

    outsider = open_window(device)
    public = f"{scene.site.address}p/{scene['page']}/"
    outsider.goto(public)
    expect(outsider.get_by_text("The stringers lie fair")).to_have_count(0)
    page.goto(scene.url("supporters/updates/"))
    press(page.get_by_role("link", name="The stringers lie fair"))
    press(page.get_by_role("button", name="Show it"))
    expect(page.get_by_role("button", name="Take back")).to_be_visible()

    outsider.goto(public)
    press(outsider.get_by_role("link", name="The stringers lie fair").first)
    expect(outsider.locator("h1")).to_have_text("The stringers lie fair")
    told = outsider.url
    expect(outsider.locator("em")).to_have_text("cold")
    photo = outsider.locator("main img").first
    expect(photo).to_be_visible()
    assert photo.evaluate("image => image.decode().then(() => image.naturalWidth)") > 0
    feed = outsider.request.get(f"{public}feed.atom")
    assert feed.ok
    assert "The stringers lie fair" in feed.text()
    for inside in ("", "log/", "photos/", "money/"):
        answer = outsider.request.get(scene.url(inside), max_redirects=0)
        assert answer.status == 302

    press(page.get_by_role("button", name="Take back"))
    expect(page.get_by_role("button", name="Show it")).to_be_visible()
    assert outsider.goto(told).status == 404
    expect(outsider.locator("h1")).to_be_visible()
    assert "The stringers lie fair" not in outsider.request.get(f"{public}feed.atom").text()


def test_the_page_switched_off_is_gone(scene, page, press, open_window, device):
    outsider = open_window(device)
    public = f"{scene.site.address}p/{scene['page']}/"
    assert outsider.goto(public).status == 200
    expect(outsider.get_by_text("Aunt Petronel")).to_be_visible()
    page.goto(scene.url("supporters/page/"))
    press(page.get_by_role("button", name="Switch off"))
    expect(page.get_by_role("button", name="Switch on")).to_be_visible()
    assert outsider.goto(public).status == 404
    assert outsider.request.get(f"{public}feed.atom").status == 404
    press(page.get_by_role("button", name="Switch on"))
    expect(page.get_by_role("button", name="Switch off")).to_be_visible()
    assert outsider.goto(public).status == 200
