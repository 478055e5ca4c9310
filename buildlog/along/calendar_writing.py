"""Days and hours as an iCalendar file (RFC 5545), for any calendar program."""

from __future__ import annotations

import datetime as dt
import re
import uuid
from collections.abc import Iterable
from dataclasses import dataclass

import icalendar

__all__ = ["Happening", "write_calendar"]

#: Names the program that wrote the file, as section 3.7.3 asks.
PRODID = "-//Buildlog//Plan of a build//EN"
#: How often programs are asked to come again.
COME_AGAIN = dt.timedelta(hours=2)
#: What section 3.1 allows in no text: controls but the tab and the line feed, and lone surrogates.
_NOT_TEXT = re.compile("[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff]")


@dataclass(frozen=True, slots=True)
class Happening:
    """Something that takes place.

    Attributes
    ----------
    key
        What it is, whenever it is: the same key read again at another time is the same event
        moved. Once a calendar.
    start, end
        Moments with a zone, or days; `end` is the first moment or day after it. Without an end it
        takes one day, or no time at all.
    busy
        Whether it takes up its reader's time.
    link
        A whole address that says more.
    """

    key: str
    sort: str
    title: str
    start: dt.date
    end: dt.date | None = None
    details: str = ""
    busy: bool = False
    link: str | None = None


def write_calendar(
    name: str, happenings: Iterable[Happening], *, space: uuid.UUID, stamp: dt.datetime
) -> bytes:
    """The calendar as UTF-8 text with CRLF, lines folded at 75 octets.

    Parameters
    ----------
    name
        What the calendar is called.
    happenings
        In the order in which they are written.
    space
        Makes the keys of this calendar different from those of any other.
    stamp
        When what is told last changed. Moments are written in UTC, so that no description of a
        time zone can be wrong.

    Examples
    --------
    >>> day = Happening("launch", "Launch", "Launch", dt.date(2027, 5, 1))
    >>> space, stamp = uuid.UUID(int=1), dt.datetime(2026, 1, 1, tzinfo=dt.UTC)
    >>> written = write_calendar("Marram", [day], space=space, stamp=stamp)
    >>> [line for line in written.decode().splitlines() if line.startswith("DT")]
    ['DTSTART;VALUE=DATE:20270501', 'DTEND;VALUE=DATE:20270502', 'DTSTAMP:20260101T000000Z']
    """
    calendar = icalendar.Calendar()
    calendar.add("prodid", PRODID)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    name = _text(name)
    calendar.add("name", name)  # RFC 7986, section 5.1
    calendar.add("x-wr-calname", name)  # what programs before it read
    calendar.add("refresh-interval", COME_AGAIN, {"value": "DURATION"})  # RFC 7986, section 5.7
    calendar.add("x-published-ttl", icalendar.vDuration(COME_AGAIN))
    for one in happenings:
        calendar.add_component(_event(one, space, stamp))
    return calendar.to_ical(sorted=False)


def _event(one: Happening, space: uuid.UUID, stamp: dt.datetime) -> icalendar.Event:
    event = icalendar.Event()
    event.add("uid", str(uuid.uuid5(space, one.key)))
    start, end = one.start, one.end
    if isinstance(start, dt.datetime):
        event.add("dtstart", start.astimezone(dt.UTC))
        if isinstance(end, dt.datetime):
            event.add("dtend", end.astimezone(dt.UTC))
    else:
        event.add("dtstart", start)
        event.add("dtend", end or start + dt.timedelta(days=1))
    event.add("dtstamp", stamp.astimezone(dt.UTC).replace(microsecond=0))
    event.add("summary", " ".join(_text(one.title).split()))
    if one.details:
        event.add("description", _text(one.details))
    event.add("categories", [one.sort])
    event.add("transp", "OPAQUE" if one.busy else "TRANSPARENT")
    if one.link:
        event.add("url", one.link)
    return event


def _text(text: str) -> str:
    return _NOT_TEXT.sub("", text.replace("\r\n", "\n").replace("\r", "\n"))
