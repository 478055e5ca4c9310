"""The calendar against an independent reader (vobject) and the rules of RFC 5545 itself.

Source: B. Desruisseaux (ed.), RFC 5545, "Internet Calendaring and Scheduling Core Object
Specification (iCalendar)", IETF, September 2009, https://www.rfc-editor.org/rfc/rfc5545; section
numbers stand beside each check, the rules themselves are from memory. NAME and REFRESH-INTERVAL:
RFC 7986, sections 5.1 and 5.7. UUIDs: RFC 4122, section 3. Conditional requests: RFC 9110.
"""

from __future__ import annotations

import datetime as dt
import re
from zoneinfo import ZoneInfo

import pytest
import time_machine
import vobject
from django.urls import reverse

from buildlog.materials.models import Material, Part, Supplier
from tasks.models import DayOff, HelpDay, Link, ShopHours

NOW = dt.datetime(2026, 3, 16, 7, 0, tzinfo=dt.UTC)
PARIS = ZoneInfo("Europe/Paris")
UTC_TIME = re.compile(r"\d{8}T\d{6}Z")  # section 3.3.5, form 2
DATE = re.compile(r"\d{8}")  # section 3.3.4
DURATION = re.compile(r"P(\d+W|(\d+D)?(T(\d+H)?(\d+M)?(\d+S)?)?)")  # section 3.3.6
UUID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")
# Section 3.1: name *(";" param) ":" value. No parameter here needs quotes.
LINE = re.compile(r"([A-Z][A-Z0-9-]*)((?:;[A-Z-]+=[^:;,\"]+)*):(.*)", re.DOTALL)

LONG = "Fillets, “fair” at last; a\\b & 中⛵ " * 6
NASTY = "Bell\x07 and \x0bcontrols; commas, back\\slash"


@pytest.fixture
def rich(build, make_task):
    """A build with something of every sort, and text of every kind."""
    with time_machine.travel(NOW, tick=False):
        first = make_task("1", hours=10, name=LONG.strip()[:200], cure_minutes=2000)
        second = make_task("2", hours=20, name=NASTY)
        Link.objects.create(build=build, before=first, after=second)
        DayOff.objects.create(
            build=build, first=dt.date(2026, 4, 4), last=dt.date(2026, 4, 6), reason="Easter"
        )
        HelpDay.objects.create(build=build, who="Wim\nand Ines", first=dt.date(2026, 4, 11))
        HelpDay.objects.create(build=build, who="Ada", weekday=5, start_minute=600, end_minute=720)
        supplier = Supplier.objects.create(build=build, name="Harbour Timber", lead_days=5)
        screws = Material.objects.create(
            build=build, name="Screws", kind="fastener", unit="each", supplier=supplier
        )
        Part.objects.create(build=build, name="Screw", material=screws, task=second, count=9)
        yield build


@pytest.fixture
def fetch(rich, owner, as_person, client):
    page = as_person(owner).post(reverse("new-calendar-address", args=[rich.slug]))
    address = page.context["made"]
    return lambda **headers: client.get(address, headers=headers)


def unfolded(content: bytes) -> list[str]:
    """Content lines, put together again as section 3.1 says: CRLF and one blank are taken out."""
    text = content.replace(b"\r\n ", b"").replace(b"\r\n\t", b"").decode()
    return text.removesuffix("\r\n").split("\r\n")


def events_of(content: bytes) -> list[list[tuple[str, str, str]]]:
    """(name, parameters, value) of the lines of each event."""
    events: list[list[tuple[str, str, str]]] = []
    inside = False
    for line in unfolded(content):
        match = LINE.fullmatch(line)
        assert match, line
        if line == "BEGIN:VEVENT":
            events.append([])
            inside = True
        elif line == "END:VEVENT":
            inside = False
        elif inside:
            events[-1].append((match[1], match[2], match[3]))
    return events


def value(event: list[tuple[str, str, str]], name: str) -> str:
    (found,) = [text for known, _, text in event if known == name]
    return found


def test_vobject_reads_it_and_finds_nothing_wrong(fetch, build):
    calendar = vobject.readOne(fetch().content.decode())
    assert calendar.name == "VCALENDAR"
    assert calendar.validate(raiseException=True)
    assert calendar.version.value == "2.0"
    summaries = {event.summary.value for event in calendar.vevent_list}
    assert f"1 {LONG.strip()[:200]}" in summaries
    assert "2 Bell and controls; commas, back\\slash" in summaries
    assert {
        "No work: Easter",
        "Help: Wim and Ines",
        "Order Screws",
        "Launch of Tender",
    } <= summaries


def test_vobject_sees_the_moments_that_the_shop_hours_are(fetch):
    """Two Saturdays on either side of the change to summer time, by the wall clock of Paris."""
    calendar = vobject.readOne(fetch().content.decode())
    work = [event for event in calendar.vevent_list if event.summary.value.startswith(("1 ", "2 "))]
    saturdays = [
        (event.dtstart.value.astimezone(PARIS), event.dtend.value.astimezone(PARIS))
        for event in work
        if event.dtstart.value.weekday() == 5
    ]
    days = {start.date() for start, _ in saturdays}
    assert {dt.date(2026, 3, 21), dt.date(2026, 3, 28)} <= days
    assert dt.date(2026, 4, 4) not in days  # a day off
    hours = {(row.start_minute, row.end_minute) for row in ShopHours.objects.filter(weekday=5)}
    ((opens, closes),) = hours
    for start, end in saturdays:
        assert opens <= start.hour * 60 + start.minute < end.hour * 60 + end.minute <= closes


def test_vobject_would_object(fetch):
    """The check can fail: an event without its UID is refused."""
    lines = [line for line in unfolded(fetch().content) if not line.startswith("UID")]
    calendar = vobject.readOne("\r\n".join(lines) + "\r\n")
    with pytest.raises(vobject.base.ValidateError):
        calendar.validate(raiseException=True)


class TestRules:
    @pytest.fixture
    def content(self, fetch):
        return fetch().content

    @pytest.fixture
    def events(self, content):
        return events_of(content)

    def test_media_type(self, fetch):
        assert fetch()["Content-Type"] == "text/calendar; charset=utf-8"  # section 8.1

    def test_lines_end_and_fold(self, content):
        assert content.endswith(b"\r\n")
        lines = content.removesuffix(b"\r\n").split(b"\r\n")
        for line in lines:
            assert len(line) <= 75, line  # section 3.1: octets, without the line break
            assert b"\n" not in line and b"\r" not in line
            line.decode()  # no character is torn apart
        assert any(line.startswith(b" ") for line in lines)  # something was folded

    def test_no_control_characters(self, content):
        # Section 3.1, CONTROL: none but the tab may stand in a value.
        assert not re.search(rb"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", content)

    def test_calendar_properties(self, content):
        lines = unfolded(content)
        assert lines[0] == "BEGIN:VCALENDAR" and lines[-1] == "END:VCALENDAR"  # section 3.4
        head = lines[1 : lines.index("BEGIN:VEVENT")]
        names = [re.split("[;:]", line)[0] for line in head]
        for once in ("PRODID", "VERSION"):  # section 3.6: required, not more than once
            assert names.count(once) == 1
        assert names.count("CALSCALE") <= 1 and "METHOD" not in names
        assert "VERSION:2.0" in head  # section 3.7.4
        assert "CALSCALE:GREGORIAN" in head  # section 3.7.1
        assert "NAME:Tender" in head  # RFC 7986, section 5.1
        (refresh,) = [line for line in head if line.startswith("REFRESH-INTERVAL")]
        name, period = refresh.split(":")
        assert name == "REFRESH-INTERVAL;VALUE=DURATION"  # RFC 7986, section 5.7
        assert DURATION.fullmatch(period)
        assert f"X-PUBLISHED-TTL:{period}" in head

    def test_event_properties(self, events):
        allowed = {
            "UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY", "DESCRIPTION", "CATEGORIES",
            "TRANSP", "URL",
        }  # fmt: skip
        assert len(events) > 10
        for event in events:
            names = [name for name, _, _ in event]
            for once in ("UID", "DTSTAMP", "DTSTART"):  # section 3.6.1
                assert names.count(once) == 1
            for at_most in allowed:
                assert names.count(at_most) <= 1
            assert set(names) <= allowed
            assert value(event, "TRANSP") in ("OPAQUE", "TRANSPARENT")  # section 3.8.2.7

    def test_dates_and_times(self, events):
        dated = timed = 0
        for event in events:
            kinds = {}
            for name, parameters, text in event:
                if name in ("DTSTART", "DTEND"):
                    kinds[name] = (parameters, text)
            assert UTC_TIME.fullmatch(value(event, "DTSTAMP"))  # section 3.8.7.2: in UTC
            parameters, start = kinds["DTSTART"]
            if parameters == ";VALUE=DATE":  # section 3.8.2.4: a date must say that it is one
                dated += 1
                assert DATE.fullmatch(start)
                # Section 3.6.1: DTEND is a date too and, section 3.8.2.2, later than DTSTART; it
                # is not part of the event.
                assert kinds["DTEND"][0] == ";VALUE=DATE"
                assert kinds["DTEND"][1] > start
                continue
            timed += 1
            assert parameters == "" and UTC_TIME.fullmatch(start)  # section 3.3.5, form 2
            if "DTEND" in kinds:
                assert UTC_TIME.fullmatch(kinds["DTEND"][1]) and kinds["DTEND"][1] > start
        assert dated and timed

    def test_the_end_of_days_off_is_not_part_of_them(self, events):
        (off,) = [event for event in events if value(event, "SUMMARY") == "No work: Easter"]
        assert (value(off, "DTSTART"), value(off, "DTEND")) == ("20260404", "20260407")

    def test_text_is_escaped(self, events):
        # Section 3.3.11: backslash, semicolon and comma are escaped, a line feed is \n.
        titles = [value(event, "SUMMARY") for event in events]
        assert "2 Bell and controls\\; commas\\, back\\\\slash" in titles
        for event in events:
            for name in ("SUMMARY", "DESCRIPTION"):
                for _, _, text in [line for line in event if line[0] == name]:
                    assert not re.search(r"(?<!\\)(?:\\\\)*[;,]", text)
                    assert not re.sub(r"\\[\\;,nN]", "", text).count("\\")

    def test_names_of_events_are_unique_and_never_told_twice(self, events):
        names = [value(event, "UID") for event in events]
        assert len(set(names)) == len(names)  # section 3.8.4.7
        assert all(UUID.fullmatch(name) for name in names)

    def test_addresses_are_whole(self, events):
        urls = [text for event in events for name, _, text in event if name == "URL"]
        assert urls  # section 3.8.4.6: a URI
        assert all(url.startswith("http://testserver/b/tender/") for url in urls)


def test_what_moves_keeps_its_name(fetch, build):
    """Section 3.8.4.7: the same UID is the same event, which is how a reader moves it."""

    def starts(content):
        return {value(one, "UID"): value(one, "DTSTART") for one in events_of(content)}

    before = starts(fetch().content)
    build.tasks.filter(code="1").get().save()  # nothing changed
    assert starts(fetch().content) == before
    DayOff.objects.create(build=build, first=dt.date(2026, 3, 21), last=dt.date(2026, 3, 21))
    after = starts(fetch().content)
    both = before.keys() & after.keys()
    assert len(both) >= len(before) - 1
    assert any(before[name] != after[name] for name in both)


def test_two_readers_share_no_event_name(fetch, rich, hand, as_person, client):
    page = as_person(hand).post(reverse("new-calendar-address", args=[rich.slug]))
    mine = {value(one, "UID") for one in events_of(client.get(page.context["made"]).content)}
    theirs = {value(one, "UID") for one in events_of(fetch().content)}
    assert mine and theirs and not mine & theirs  # globally unique, section 3.8.4.7


def test_conditional_requests(fetch):
    """RFC 9110, sections 8.8.2, 8.8.3 and 13.1: a validator given is honoured."""
    answer = fetch()
    assert answer["Last-Modified"].endswith("GMT")
    for header, validator in (("if-none-match", "ETag"), ("if-modified-since", "Last-Modified")):
        again = fetch(**{header: answer[validator]})
        assert (again.status_code, again.content) == (304, b"")
        assert again["ETag"] == answer["ETag"]
    assert fetch(**{"if-none-match": '"other"'}).status_code == 200
