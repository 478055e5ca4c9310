"""The feed against an independent reader (feedparser) and the rules of RFC 4287 itself.

Source: M. Nottingham, R. Sayre (eds.), RFC 4287, "The Atom Syndication Format", IETF, December
2005, https://www.rfc-editor.org/rfc/rfc4287; section numbers stand beside each check. Dates: RFC
3339. URN of a UUID: RFC 4122 section 3.
"""

from __future__ import annotations

import datetime as dt
import re
import xml.etree.ElementTree as ET

import feedparser
import pytest
from django.utils import timezone

from buildlog.supporters import showing
from buildlog.supporters.models import PublicPage, Update

ATOM = "{http://www.w3.org/2005/Atom}"  # section 2
RFC3339 = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)")
URN_UUID = re.compile(r"urn:uuid:[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")

TITLES = [
    "Ribbands on",
    "Fillets & <clamps>: “fair” at last",
    "Bell\x07 and \x0bother things a keyboard can send \ud7ff ⛵ 中",
]


@pytest.fixture
def page(build, owner):
    page = PublicPage.objects.create(build=build)
    showing.show(page, owner, timezone.now())
    for n, title in enumerate(TITLES):
        row = Update.objects.create(
            build=build, title=title, day=dt.date(2026, 3, 1 + n),
            text="One <b>line</b> & *more*.\n\n- a list\n\n[link](https://a.example/?x=1&y=2)\x0b",
        )  # fmt: skip
        showing.show(row, owner, timezone.now())
    return page


@pytest.fixture
def fetch(client, page):
    def get(**headers):
        return client.get(f"/p/{page.address}/feed.atom", **headers)

    return get


def test_feedparser_reads_it_without_complaint(fetch, build):
    answer = fetch()
    read = feedparser.parse(
        answer.content, response_headers={"content-type": answer["Content-Type"]}
    )
    assert read.version == "atom10"
    assert read.bozo is False
    assert read.feed.title == build.name
    assert [entry.title for entry in read.entries][-1] == "Ribbands on"
    assert len(read.entries) == 3
    for entry in read.entries:
        assert "One &lt;b&gt;line&lt;/b&gt; &amp; <em>more</em>." in entry.content[0].value
        assert entry.content[0].type == "text/html"
        assert entry.published_parsed
        assert entry.updated_parsed


def test_media_type(fetch):
    assert fetch()["Content-Type"].split(";")[0] == "application/atom+xml"  # section 2


class TestRules:
    @pytest.fixture
    def feed(self, fetch):
        return ET.fromstring(fetch().content)  # well-formed XML, section 2

    def test_feed_element(self, feed, page):
        assert feed.tag == f"{ATOM}feed"
        for name in ("id", "title", "updated"):  # exactly one of each, section 4.1.1
            assert len(feed.findall(ATOM + name)) == 1
        assert feed.findall(f"{ATOM}author/{ATOM}name")[0].text  # at least one author
        (own,) = [row for row in feed.findall(f"{ATOM}link") if row.get("rel") == "self"]
        assert own.get("href") == f"http://testserver/p/{page.address}/feed.atom"  # 4.1.1: SHOULD
        alternates = [row for row in feed.findall(f"{ATOM}link") if row.get("rel") == "alternate"]
        assert [row.get("href") for row in alternates] == [f"http://testserver/p/{page.address}/"]

    def test_entries(self, feed):
        entries = feed.findall(f"{ATOM}entry")
        assert len(entries) == 3
        for entry in entries:
            for name in ("id", "title", "updated"):  # exactly one, section 4.1.2
                assert len(entry.findall(ATOM + name)) == 1
            for name in ("published", "content"):  # at most one
                assert len(entry.findall(ATOM + name)) <= 1
            (content,) = entry.findall(f"{ATOM}content")
            assert content.get("type") == "html"  # section 4.1.3.3: escaped markup, no child
            assert len(content) == 0
            (link,) = entry.findall(f"{ATOM}link")  # one alternate a type and language
            assert link.get("href").startswith("http://testserver/p/")

    def test_ids_are_iris_unique_and_no_addresses(self, feed):
        ids = [row.text for row in feed.iter(f"{ATOM}id")]  # section 4.2.6
        assert len(set(ids)) == len(ids) == 4
        assert all(URN_UUID.fullmatch(one) for one in ids)

    def test_dates(self, feed):
        dates = [
            row.text for row in feed.iter() if row.tag in (ATOM + "updated", ATOM + "published")
        ]
        assert len(dates) == 7
        assert all(RFC3339.fullmatch(one) for one in dates)  # section 3.3
        newest = max(row.text for row in feed.findall(f"{ATOM}entry/{ATOM}updated"))
        assert feed.find(f"{ATOM}updated").text == newest

    def test_titles_are_text(self, feed):
        titles = [row.find(f"{ATOM}title") for row in feed.findall(f"{ATOM}entry")]
        assert all(row.get("type", "text") == "text" for row in titles)  # section 4.2.14, 3.1
        assert titles[1].text == TITLES[1]
        assert titles[0].text == "Bell and other things a keyboard can send \ud7ff ⛵ 中"


def test_ids_stay_when_text_and_address_change(fetch, client, page):
    def ids(content):
        return [row.text for row in ET.fromstring(content).iter(f"{ATOM}id")]

    before = ids(fetch().content)
    page.address = "marlin"
    page.save()
    row = Update.objects.get(title="Ribbands on")
    row.title = "Ribbands off"
    row.save()
    assert ids(client.get("/p/marlin/feed.atom").content) == before


def test_an_edit_moves_updated_and_not_published(fetch):
    def dates(content, title):
        for entry in ET.fromstring(content).findall(f"{ATOM}entry"):
            if entry.find(f"{ATOM}title").text == title:
                return [entry.find(ATOM + name).text for name in ("published", "updated")]
        raise AssertionError(title)

    published, updated = dates(fetch().content, "Ribbands on")
    row = Update.objects.get(title="Ribbands on")
    row.text = "More."
    row.save()
    Update.objects.filter(pk=row.pk).update(changed_at=timezone.now() + dt.timedelta(hours=1))
    later = dates(fetch().content, "Ribbands on")
    assert later[0] == published
    assert later[1] > updated


def test_a_feed_without_entries_is_a_feed(fetch, build):
    build.updates.all().delete()
    first, second = fetch(), fetch()
    read = feedparser.parse(first.content)
    assert (read.version, read.bozo, len(read.entries)) == ("atom10", False, 0)
    assert first.content == second.content


def test_conditional_requests(fetch):
    """RFC 9110, sections 8.8 and 13.1: a validator given is honoured."""
    answer = fetch()
    assert answer["Last-Modified"].endswith("GMT")
    again = fetch(headers={"if-none-match": answer["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert again["ETag"] == answer["ETag"]


def test_what_is_taken_back_is_out_of_the_feed(fetch, owner):
    tag = fetch()["ETag"]
    showing.take_back(Update.objects.get(title="Ribbands on"), owner, timezone.now())
    answer = fetch(headers={"if-none-match": tag})
    assert answer.status_code == 200
    assert b"Ribbands on" not in answer.content
