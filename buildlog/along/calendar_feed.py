"""The calendar of one person and one build, written anew only when something has changed."""

from __future__ import annotations

import datetime as dt
import hashlib
from dataclasses import dataclass

from django.core.cache import cache
from django.utils import timezone

from buildlog.ahead.views import fresh_order
from buildlog.along.calendar_writing import write_calendar
from buildlog.along.happenings import happenings_of
from buildlog.along.models import CalendarAddress
from tasks.models import Answer, AnswerKind
from tasks.plan import plan_of

__all__ = ["Feed", "feed_of"]

KEEP_SECONDS = 24 * 3600
_NEVER = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)


@dataclass(frozen=True, slots=True)
class Feed:
    """What is handed out. `tag` is that of the content, which is so since `changed_at`."""

    content: bytes
    tag: str
    changed_at: dt.datetime


def feed_of(address: CalendarAddress, site: str) -> Feed:
    """The calendar as it stands today. One query if nothing it is made of has changed.

    `address` comes with its build (see `find_address`); `site` is what addresses here begin with.
    """
    key = f"calendar-{address.pk}"
    kept = cache.get(key)
    if kept and kept[0] == _made_of(address, site):
        feed: Feed = kept[1]
        return feed
    crew = address.crew
    plan = plan_of(crew.build)
    order = fresh_order(plan)
    happenings = happenings_of(plan, order, site=site, money=crew.may("see-money"))
    bare = write_calendar(str(crew.build), happenings, space=address.uid, stamp=_NEVER)
    tag = hashlib.sha256(bare).hexdigest()
    if tag != address.content_hash or address.changed_at is None:
        address.content_hash, address.changed_at = tag, timezone.now().replace(microsecond=0)
        address.save(update_fields=["content_hash", "changed_at"])
    content = write_calendar(
        str(crew.build), happenings, space=address.uid, stamp=address.changed_at
    )
    feed = Feed(content, tag, address.changed_at)
    cache.set(key, (_made_of(address, site), feed), KEEP_SECONDS)
    return feed


def _made_of(address: CalendarAddress, site: str) -> tuple[object, ...]:
    """What a calendar follows from, told by its versions."""
    build = address.crew.build
    order = (
        Answer.objects.filter(build=build, kind=AnswerKind.ORDER)
        .values_list("made_at", "plan_version", "figures__launch", "figures__settled")
        .first()
    )
    return (
        order,
        build.plan_version,
        build.books_version,
        build.name,
        build.slug,
        build.time_zone,
        build.hands,
        timezone.localdate(timezone=build.zone),
        address.crew.rights,
        address.uid,
        address.changed_at,
        site,
    )
