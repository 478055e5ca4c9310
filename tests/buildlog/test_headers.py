"""What every page says about itself to the browser, whatever kind of page it is."""

from __future__ import annotations

import re

import pytest
from django.test import Client
from django.utils import timezone

from buildlog.supporters import showing
from buildlog.supporters.models import PublicPage
from tasks.models import Build
from tests.addresses import every_address

INLINE = re.compile(
    r"<script(?![^>]*\bsrc=)[^>]*>|<style\b|\sstyle\s*=\s*[\"']|\son[a-z]+\s*=\s*[\"']|javascript:",
    re.IGNORECASE,
)


def check(address, answer):
    policy = answer["Content-Security-Policy"]
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    assert "unsafe" not in policy, address
    if "sandbox" not in policy:
        assert rules["default-src"] == "'none'", address
        assert rules["frame-ancestors"] == "'none'", address
        assert rules["base-uri"] == "'none'", address
        assert rules.get("script-src", "'self'") == "'self'", address
        assert rules.get("style-src", "'self'") == "'self'", address
    assert answer["X-Content-Type-Options"] == "nosniff", address
    assert answer["X-Frame-Options"] == "DENY", address
    assert answer["Referrer-Policy"] in ("same-origin", "no-referrer"), address
    assert answer["Cross-Origin-Opener-Policy"] == "same-origin", address
    kept = answer["Cache-Control"]
    assert any(word in kept for word in ("private", "no-cache", "no-store")), address
    if answer["Content-Type"].startswith("text/html") and not answer.streaming:
        found = INLINE.search(answer.content.decode())
        assert found is None, (address, found)
    if answer.streaming:
        answer.close()


class Values(dict):
    def __init__(self, build: Build, page: PublicPage) -> None:
        super().__init__(slug=[build.slug], address=[page.address], pk=[build.tasks.get().pk])

    def __missing__(self, name):
        return ["1", "tasks", "x" * 64] if name != "format" else ["json"]


@pytest.fixture
def addresses(build, owner, make_task):
    page = PublicPage.objects.create(build=build)
    showing.show(page, owner, timezone.now())
    make_task("1")
    return every_address(Values(build, page))


def test_every_page_of_the_owner(addresses, as_person, owner):
    client = as_person(owner)
    opened = 0
    for address in addresses:
        answer = client.get(address.url)
        assert answer.status_code < 500, address
        check(address, answer)
        opened += answer.status_code == 200
    assert opened > 20


def test_every_page_of_an_outsider(addresses):
    client = Client()
    for address in addresses:
        check(address, client.get(address.url))


@pytest.mark.parametrize("url", ["/no/such/page/", "/b/no-such/", "/p/no-such/", "/first/x/"])
def test_pages_that_are_not_there(client, db, url):
    answer = client.get(url, follow=True)
    check(url, answer)


def test_forbidden_and_refused(as_person, hand, build):
    answer = as_person(hand).get(f"/b/{build.slug}/supporters/")
    assert answer.status_code == 403
    check("403", answer)
    checked = Client(enforce_csrf_checks=True)
    answer = checked.post("/sign-in/", {"username": "x", "password": "y"})
    assert answer.status_code == 403
    check("csrf", answer)
    for _ in range(5):
        answer = Client().post("/sign-in/", {"username": "x", "password": "y"})
    assert answer.status_code == 429
    check("lockout", answer)


@pytest.mark.parametrize("url", ["/sign-out/", "/me/sign-out-everywhere/"])
def test_signing_out_has_the_browser_forget_its_pages_but_not_what_waits_to_be_sent(
    as_person, owner, url
):
    assert as_person(owner).post(url)["Clear-Site-Data"] == '"cache"'


def test_cookies_are_for_this_site_only(client, owner):
    client.get("/sign-in/")
    client.post("/sign-in/", {"username": "olive", "password": "a long pass phrase"})
    session = client.cookies["sessionid"]
    assert session["httponly"]
    assert session["samesite"] == "Lax"
    assert client.cookies["csrftoken"]["samesite"] == "Lax"
