"""Every page of the project, by every name: accessible, whole at any width, without complaint."""

from __future__ import annotations

from collections.abc import Iterable

import pytest
from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page

from tests.browser.devices import DESK, PHONE

RULES = {
    "runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]},
    "resultTypes": ["violations"],
}

THUMB_PX = 44
MOUSE_PX = 24  # as WCAG 2.2 has it

# What a thumb must hit. Left out are links within running text, as in WCAG 2.5.8, and those of
# drawings, which can be read as lists too. A tick's target is its label, if that lies under it.
BUTTONS = "button, summary, select, textarea, input:not([type=hidden]), .button, nav a"
SMALL_TARGETS = """([places, least]) => {
  const inline = (place) => getComputedStyle(place).display.startsWith("inline");
  const isInText = (link) => {
    if (!inline(link)) return false;
    let block = link.parentElement;
    while (inline(block)) block = block.parentElement;
    const words = (place) => place.nodeType === Node.TEXT_NODE ? place.textContent
      : place.nodeType !== Node.ELEMENT_NODE || place.matches("a, button, .unseen") ? ""
      : place === block || inline(place) ? [...place.childNodes].map(words).join("") : "";
    return /[\\p{L}\\p{N}]/u.test(words(block));
  };
  const holds = (outer, inner) => outer.left <= inner.left + 1 && outer.right >= inner.right - 1
    && outer.top <= inner.top + 1 && outer.bottom >= inner.bottom - 1;
  const small = [];
  for (const place of document.querySelectorAll(places)) {
    let box = place.getBoundingClientRect();
    if (!box.width || !place.checkVisibility()) continue;
    if (place.closest(".unseen, .skip, .drawing")) continue;
    if (place.matches("a:not(.button)") && isInText(place)) continue;
    const label = /checkbox|radio/.test(place.type) && place.labels[0];
    if (label && holds(label.getBoundingClientRect(), box)) box = label.getBoundingClientRect();
    if (box.height < least - 0.5) {
      small.push(`${Math.round(box.height)} px: ${place.outerHTML.slice(0, 90)}`);
    }
  }
  return small;
}"""

OVERFLOWING = """() => {
  const width = document.documentElement.clientWidth;
  if (document.documentElement.scrollWidth <= width) return [];
  const scrolls = (place) => {
    for (let up = place.parentElement; up; up = up.parentElement) {
      if (/auto|scroll|hidden|clip/.test(getComputedStyle(up).overflowX)) return true;
    }
    return false;
  };
  const out = [...document.body.querySelectorAll("*")].filter((place) =>
    place.getBoundingClientRect().right > width + 0.5 && !scrolls(place));
  return [`page ${document.documentElement.scrollWidth} px wide`,
    ...out.slice(0, 3).map((place) => place.outerHTML.slice(0, 90))];
}"""


def faults_of(page: Page, url: str) -> list[str]:
    """Load a page once and judge it: light on a phone, dark at the desk."""
    page.set_viewport_size({"width": PHONE.width, "height": PHONE.height})
    page.emulate_media(color_scheme="light")
    answer = page.goto(url)
    found = []
    if answer is None or answer.status >= 500:
        return [f"answered {answer and answer.status}"]
    if page.locator("h1").count() != 1:
        found.append(f"{page.locator('h1').count()} h1")
    if not page.title():
        found.append("no title")
    found += [f"phone: wider than it: {line}" for line in page.evaluate(OVERFLOWING)]
    small = page.evaluate(SMALL_TARGETS, [f"{BUTTONS}, a[href]", THUMB_PX])
    found += [f"phone: hard to hit: {one}" for one in small]
    page.evaluate(AXE_SCRIPT)
    found += [f"phone, light: {line}" for line in violations(page)]
    page.set_viewport_size({"width": DESK.width, "height": DESK.height})
    page.emulate_media(color_scheme="dark")
    found += [f"desk: wider than it: {line}" for line in page.evaluate(OVERFLOWING)]
    small = page.evaluate(SMALL_TARGETS, [BUTTONS, MOUSE_PX])
    found += [f"desk: hard to hit: {one}" for one in small]
    found += [f"desk, dark: {line}" for line in violations(page)]
    return found


def violations(page: Page) -> Iterable[str]:
    for rule in page.evaluate("options => axe.run(options)", RULES)["violations"]:
        for node in rule["nodes"][:3]:
            yield f"{rule['id']}: {node['html'][:140]} {node['failureSummary'][:240]}"


def check(page: Page, urls: Iterable[str]) -> None:
    found = [f"{url}: {fault}" for url in urls for fault in faults_of(page, url)]
    assert not found, "\n".join(found)


@pytest.fixture
def window(open_window, scene):
    return open_window(PHONE, scene.site.address, scene["owner"]["session"])


def test_every_page_of_the_owner(scene, window):
    scene.site.make(
        "start", slug=scene["slug"], task=scene["tasks"]["P1"], person=scene["owner"]["username"]
    )
    answers = scene.site.make(
        "pages", slug=scene["slug"], username=scene["owner"]["username"], pks=scene["pks"],
        address=scene["page"], token=scene["invitation"],
    )  # fmt: skip
    check(window, [f"{scene.site.address}{url[1:]}" for url in answers["pages"].values()])
