"""In the shed, online: start a task, add photos, write a line, stop. Nothing is lost on the way."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.pictures import jpeg
from tests.served import ask

OFFLINE = "ERR_INTERNET_DISCONNECTED|ERR_NETWORK_CHANGED"


def clocks(scene) -> int:
    return ask(
        scene.site.running.folder,
        "SELECT count(*) FROM tasks_work w JOIN tasks_build b ON b.id = w.build_id "
        "WHERE b.slug = ? AND w.minutes IS NULL", scene["slug"],
    )[0][0]  # fmt: skip


def some_photos(scene, count: int = 2) -> list[dict[str, object]]:
    """Photos that this build has not had."""
    seeds = [f"shed {scene['slug']} {n}" for n in range(count)]
    return [
        {"name": f"IMG_{n:04}.jpg", "mimeType": "image/jpeg", "buffer": jpeg(seed)}
        for n, seed in enumerate(seeds)
    ]


def start_button(page: Page):
    return page.locator("ol.jobs").get_by_role("button", name="Start Plane the stringers")


def test_start_photo_line_stop(scene, page, press, open_window, device):
    page.goto(scene.url())
    press(start_button(page))
    running = page.locator("section.running")
    expect(running).to_contain_text("Plane the stringers")

    press(page.get_by_role("link", name="Photo", exact=True) if device.is_phone
          else page.get_by_role("link", name="Add photos"))  # fmt: skip
    page.get_by_label("Photos", exact=True).set_input_files(some_photos(scene))
    press(page.get_by_role("button", name=re.compile("Send")))
    expect(page.locator("[data-sum]")).to_contain_text("All 2 dealt with · 2 taken in")

    # The browser is closed and opened again: the clock has run on.
    again = open_window(device, scene.site.address, scene["owner"]["session"])
    again.goto(scene.url())
    expect(again.locator("section.running")).to_contain_text("It runs on when this page is closed")
    again.get_by_label("A line for the log").fill("First stringer fair to the batten.")
    press(again.get_by_role("button", name="Keep the line"))
    expect(again.get_by_label("A line for the log")).to_have_value("")
    press(again.locator("section.running").get_by_role("button", name="Stop"))
    expect(again.locator("section.running")).to_have_count(0)
    assert clocks(scene) == 0

    again.goto(scene.url("log/"))
    entry = again.locator("article, .entry").first
    expect(entry).to_contain_text("First stringer fair to the batten.")
    again.goto(scene.task("P1"))
    expect(again.locator(".aside img")).to_have_count(2)


def test_a_double_click_starts_one_clock(scene, page):
    page.goto(scene.url())
    start_button(page).evaluate("button => { button.click(); button.click(); }")
    expect(page.locator("section.running")).to_be_visible()
    assert clocks(scene) == 1
    page.reload()
    page.locator("section.running").get_by_role("button", name="Stop").evaluate(
        "button => { button.click(); button.click(); }"
    )
    expect(page.locator("section.running")).to_have_count(0)
    assert clocks(scene) == 0


def test_photos_go_on_when_the_network_is_back(scene, page, press):
    page.context.watch.allow(OFFLINE)
    page.goto(scene.url("photos/add/"))
    page.get_by_label("Photos", exact=True).set_input_files(some_photos(scene, 3))
    page.context.set_offline(True)
    press(page.get_by_role("button", name=re.compile("Send")))
    expect(page.locator("[data-list]")).to_contain_text("no network")
    page.context.set_offline(False)
    expect(page.locator("[data-sum]")).to_contain_text("All 3 dealt with · 3 taken in")


def test_photos_sent_twice_are_recognised(scene, page, press):
    for words in ("2 taken in", "2 here already"):
        page.goto(scene.url("photos/add/"))
        page.get_by_label("Photos", exact=True).set_input_files(some_photos(scene))
        press(page.get_by_role("button", name=re.compile("Send")))
        expect(page.locator("[data-sum]")).to_contain_text(words)


def test_a_file_that_is_no_photo_is_refused_with_a_reason(scene, page, press):
    page.goto(scene.url("photos/add/"))
    files = [
        *some_photos(scene, 1),
        {"name": "notes.jpg", "mimeType": "image/jpeg", "buffer": b"not a picture at all"},
    ]
    page.get_by_label("Photos", exact=True).set_input_files(files)
    press(page.get_by_role("button", name=re.compile("Send")))
    expect(page.locator("[data-sum]")).to_contain_text("1 taken in · 1 refused")
    refused = page.locator("[data-list] li.refused")
    expect(refused).to_contain_text("notes.jpg")
    assert len(refused.inner_text()) > len("notes.jpg refused: ")


def test_a_line_typed_without_network_is_sent_when_it_is_back(scene, page, press):
    page.context.watch.allow(OFFLINE)
    page.goto(scene.url())
    page.get_by_label("A line for the log").fill("Glued with cold hands.")
    page.context.set_offline(True)
    press(page.get_by_role("button", name="Keep the line"))
    expect(page.get_by_role("status").filter(has_text="No network")).to_be_visible()
    expect(page.get_by_label("A line for the log")).to_have_value("Glued with cold hands.")
    page.context.set_offline(False)
    expect(page.get_by_label("A line for the log")).to_have_value("")
    page.goto(scene.url("log/"))
    expect(page.get_by_text("Glued with cold hands.")).to_have_count(1)


@pytest.mark.parametrize("where", ["", "log/new/"])
def test_what_was_typed_survives_leaving_the_page(scene, page, where):
    words = "Half a sentence, then the neighbour came"
    page.goto(scene.url(where))
    field = page.locator("form[data-keep] textarea[name=text]")
    field.fill(words)
    page.goto(scene.url("plan/"))
    page.goto(scene.url(where))
    expect(field).to_have_value(words)
    expect(page.get_by_role("status").filter(has_text="Put back what you typed")).to_be_visible()
