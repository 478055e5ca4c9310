from __future__ import annotations

import datetime as dt

import icalendar
import pytest
import time_machine
from django.urls import reverse

from tasks.models import ShopHours

#: A Monday in winter, 08:00 in Paris.
NOW = dt.datetime(2026, 1, 12, 7, 0, tzinfo=dt.UTC)


@pytest.fixture
def clock():
    with time_machine.travel(NOW, tick=False) as traveller:
        yield traveller


@pytest.fixture
def evening(build):
    """Wednesday evenings besides the weekend."""
    return ShopHours.objects.create(build=build, weekday=2, start_minute=1080, end_minute=1200)


@pytest.fixture
def make_address(build, as_person):
    """Make somebody's calendar address over the page; gives its path on the site."""

    def make(person) -> str:
        page = as_person(person).post(reverse("new-calendar-address", args=[build.slug]))
        assert page.status_code == 200
        return page.context["made"].removeprefix("http://testserver")

    return make


@pytest.fixture
def read(client):
    """What a calendar at an address holds: by summary."""

    def fetch(address: str) -> dict[str, list[icalendar.Event]]:
        answer = client.get(address)
        assert answer.status_code == 200
        events: dict[str, list[icalendar.Event]] = {}
        for event in icalendar.Calendar.from_ical(answer.content).walk("VEVENT"):
            events.setdefault(str(event["summary"]), []).append(event)
        return events

    return fetch
