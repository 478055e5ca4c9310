"""Start: from the first link to a plan with dates, from the outline and from lists of one's own."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import site_in
from tests.buildlog.lists.conftest import SAMPLES

PASSWORD = "four planks and a keel"


@pytest.fixture
def first_site(browser, folder_once_served, tmp_path):
    """A program that nobody has signed in to yet."""
    folder = Path(shutil.copytree(folder_once_served, tmp_path / "first"))
    with site_in(folder) as site:
        yield site


def test_from_the_first_link_to_a_plan_by_the_outline(first_site, open_window, device, press):
    page = open_window(device)
    link = re.search(r"\S+/first/\S+", first_site.running.said())[0]
    page.goto(link)
    page.get_by_label("Your name").fill("Olive")
    page.get_by_label("Sign-in name").fill("olive")
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_label("Password again").fill(PASSWORD)
    press(page.get_by_role("button", name="Make my account"))
    expect(page).not_to_have_url(re.compile("/first/"))
    if not page.url.endswith("/new/"):
        press(page.get_by_role("link", name="Begin a build"))
    page.get_by_label("name of the boat").fill("Sandwort")
    page.get_by_label("Currency").select_option("EUR")
    page.get_by_label("Saturday").fill("9-13, 14-17:30")
    page.get_by_label("Sunday").fill("ten to four")  # is not read, and is not lost
    press(page.get_by_role("button", name="Begin"))
    expect(page.locator(".problem").first).to_contain_text("Sunday")
    expect(page.get_by_label("name of the boat")).to_have_value("Sandwort")
    page.get_by_label("Sunday").fill("10-16")
    press(page.get_by_role("button", name="Begin"))
    expect(page.get_by_text("Sandwort has her own sheets now")).to_be_visible()
    press(page.get_by_role("link", name="Bench", exact=True))
    expect(page.locator("ol.jobs > li").first).to_be_visible()
    assert page.locator("ol.jobs .reason").first.inner_text().strip()
    expect(page.locator(".aside time").first).to_have_attribute("datetime", re.compile("20.."))
    press(page.get_by_role("link", name="Plan", exact=True))
    expect(page.get_by_role("heading", name="The critical path")).to_be_visible()
    assert page.locator("ol.chain li").count() > 5
    press(page.get_by_role("link", name="Money", exact=True))
    expect(page.get_by_text("Cost to finish").first).to_be_visible()
    # The link worked once.
    stranger = open_window(device)
    stranger.goto(link)
    expect(stranger.get_by_label("Password again")).to_have_count(0)


LISTS = [
    ("materials", "Bring in 9 materials"),
    ("tasks", "Bring in 16 tasks"),
    ("links", "Bring in 18 links"),
    ("parts", "Bring in 15 parts"),
    ("purchases", "Bring in 5 "),
    ("log", "Bring in 4 "),
]


def test_from_lists_of_ones_own_to_bench_plan_and_cost(site, open_window, device, press):
    person = site.make("person", name="Petra")
    page = open_window(device, site.address, person["session"])
    page.goto(f"{site.address}new/")
    page.get_by_label("name of the boat").fill("Tormentil")
    page.get_by_label("Currency").select_option("EUR")
    press(page.get_by_label("lists of my own"))
    press(page.get_by_role("button", name="Begin"))
    expect(page.get_by_label("The file")).to_be_visible()
    for name, words in LISTS:
        page.get_by_label("The file").set_input_files(SAMPLES / "tidy" / f"{name}.csv")
        press(page.get_by_role("button", name="Look at it"))
        expect(page.get_by_text("Nothing is written yet")).to_be_visible()
        press(page.get_by_role("button", name=words))
        expect(page.get_by_role("heading", name=f"{name}.csv is in")).to_be_visible()
        press(page.get_by_role("link", name="Bring in another list"))
    press(page.get_by_role("link", name="Bench", exact=True))
    jobs = page.locator("ol.jobs > li.job")
    expect(jobs.first).to_contain_text("Loft the lines")
    assert all(words.strip() for words in jobs.locator(".reason").all_inner_texts())
    # Worked out by hand beside the sample lists: see test_tidy_by_hand.
    sums = page.locator(".aside dl.sums")
    expect(sums).to_contain_text("538.26")
    expect(sums).to_contain_text("251.12")
    press(page.get_by_role("link", name="Plan", exact=True))
    chain = page.locator("ol.chain")
    for stage in ("Lofting", "Frames", "Stiffeners", "Planking", "Turning over", "Launch"):
        expect(chain).to_contain_text(stage)
    expect(page.locator("svg").first).to_be_visible()


def test_a_messy_list_names_what_is_wrong_and_writes_nothing(scene, page, press):
    page.goto(scene.url("lists/"))
    page.get_by_label("The file").set_input_files(SAMPLES / "messy" / "jobs.csv")
    page.get_by_label("It is a list of").select_option("tasks")
    press(page.get_by_role("button", name="Look at it"))
    expect(page.get_by_text("Nothing is written yet")).to_be_visible()
    expect(page.locator(".problem table")).to_contain_text("Row")
    page.goto(scene.url("plan/list/"))
    expect(page.get_by_text("Plane the stringers").first).to_be_visible()
    assert page.locator("tbody tr", has=page.get_by_role("link")).count() == len(scene["tasks"])
