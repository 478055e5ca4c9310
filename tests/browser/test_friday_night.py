"""Friday night: what to do next, in order, with the reason."""

from __future__ import annotations

from playwright.sync_api import expect


def test_the_bench_says_what_to_do_in_order_and_why(scene, page):
    page.goto(scene.url())
    jobs = page.locator("ol.jobs > li.job")
    names = jobs.locator("h3").all_inner_texts()
    assert names[0] == "Plane the stringers"
    assert sorted(names[1:]) == ["Build the berth", "Varnish the spars"]
    expect(jobs.first.locator(".reason")).to_contain_text("No float")
    expect(jobs.nth(1).locator(".reason")).to_contain_text("Float")
    expect(jobs.first.locator(".facts")).to_contain_text("material in the shed")
    expect(page.get_by_role("heading", name="Curing")).to_be_visible()
    expect(page.get_by_text("Do not load it before")).to_be_visible()


def test_one_button_is_filled_and_it_is_the_first_jobs(scene, page):
    page.goto(scene.url())
    filled = page.locator(".button.first")
    expect(filled).to_have_count(1)
    expect(filled).to_have_accessible_name("Start Plane the stringers")


def test_the_first_thing_to_do_is_seen_without_scrolling(scene, page, device):
    page.goto(scene.url())
    start = page.get_by_role("button", name="Start Plane the stringers").first.bounding_box()
    assert start["y"] + start["height"] < device.height
    # On a phone the ways round and the shed's three things stay under the thumb.
    ways = page.get_by_role("link", name="Bench", exact=True).bounding_box()
    assert 0 < ways["y"] < device.height


def test_every_job_opens_to_its_task_and_says_why_there_too(scene, page, press):
    page.goto(scene.url())
    press(page.get_by_role("link", name="Plane the stringers").first)
    expect(page).to_have_url(scene.task("P1"))
    expect(page.locator("main .reason").first).to_contain_text("No float")
    expect(page.get_by_role("button", name="Start", exact=True)).to_be_visible()
