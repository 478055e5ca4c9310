"""The updates as an Atom feed (RFC 4287)."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable

from django.template.loader import render_to_string
from django.utils.feedgenerator import Atom1Feed
from django.utils.xmlutils import SimplerXMLGenerator

from buildlog.supporters.models import PublicPage, Update
from buildlog.supporters.outside import Link

NEWEST = 20
# What XML 1.0 cannot hold at all, however it is written.
NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def xml_text(text: str) -> str:
    return NOT_XML.sub("", text)


class ContentFeed(Atom1Feed):
    """Django's, with the whole text as content, not a summary, and a date not the clock's."""

    def latest_post_date(self) -> dt.datetime:
        return max([self.feed["changed"], *(item["updateddate"] for item in self.items)])

    def add_item_elements(self, handler: SimplerXMLGenerator, item: dict) -> None:
        super().add_item_elements(handler, item | {"description": None})
        handler.addQuickElement("content", item["description"], {"type": "html"})


def changed_at(update: Update) -> dt.datetime:
    """When what a reader sees last changed: by an edit, or by being shown (again)."""
    return max(update.changed_at, update.showing_at)


def write_feed(page: PublicPage, updates: Iterable[Update], link: Link) -> ContentFeed:
    """The feed of a page that is shown (`showing_at` says since when).

    `link` gives whole addresses, since a feed is read far from here; `updates` come newest first,
    with their showing and their pictures (see `outside`). Ids stay when the address changes.
    """
    feed = ContentFeed(
        title=xml_text(page.build.name),
        link=link("page"),
        feed_url=link("feed"),
        feed_guid=page.uid.urn,
        description=None,
        author_name=xml_text(page.signed_as or page.build.name),
        changed=page.showing_at,
    )
    for update in updates:
        text = render_to_string("supporters/outside/feed-entry.html", {"update": update})
        feed.add_item(
            title=xml_text(update.title),
            link=link("update", update.pk),
            description=xml_text(text),
            unique_id=update.uid.urn,
            pubdate=update.first_at,
            updateddate=changed_at(update),
        )
    return feed
