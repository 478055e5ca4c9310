"""No page asks the database more often because there are more rows."""

from __future__ import annotations

import pytest
from django.db import connection
from django.template.loader import render_to_string
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tasks.models import Task


@pytest.fixture
def count(build, owner, as_person):
    client = as_person(owner)

    def counted(name: str, *args, **query) -> int:
        with CaptureQueriesContext(
            connection,
        ) as queries:
            response = client.get(reverse(name, args=[build.slug, *args]), query)
        assert response.status_code == 200
        return len(queries)

    return counted


@pytest.fixture
def grow(make_entry, make_photo, make_task, owner, hand, hours_of):
    """More of everything: entries with tasks, hours and photos; photos that wait for pictures."""

    def to(number: int, first: int = 0):
        for n in range(first, number):
            task = make_task(f"{n}")
            task.started_at = "2026-01-01T10:00:00Z"
            task.save()
            hours = [hours_of(owner, 60 + n, task), hours_of(hand, 30, task)]
            entry = make_entry(f"Entry {n}.", tasks=[task], hours=hours)
            photo = make_photo(n, entry=entry, ready=n % 3 > 0)
            photo.tasks.add(task)
        return entry, photo

    return to


def test_pages_ask_the_same_number_of_questions_of_3_and_of_30_rows(count, grow):
    def all_counts(entry, photo) -> dict[str, int]:
        return {
            "log": count("log"),
            "log found": count("log", words="Entry", month="2026-02"),
            "entry": count("log-entry", entry.pk),
            "new": count("log-new"),
            "edit": count("log-edit", entry.pk),
            "photos": count("photos"),
            "photo": count("photo", photo.pk),
            "add": count("photos-add"),
            "chosen": count("photos-chosen", all="yes"),
            "waiting": count("photos-waiting", photo=[photo.pk]),
        }

    few = all_counts(*grow(3))
    many = all_counts(*grow(30, first=3))
    assert many == few


def test_an_entry_with_many_hours_and_photos_asks_no_more(
    count, make_entry, make_photo, owner, hours_of
):
    few = make_entry("Few.", hours=[hours_of(owner, 60 + n) for n in range(3)])
    many = make_entry("Many.", hours=[hours_of(owner, 60 + n) for n in range(30)])
    for n in range(33):
        make_photo(n, entry=few if n < 3 else many, ready=False)
    assert count("log-entry", few.pk) == count("log-entry", many.pk)
    assert count("log-edit", few.pk) == count("log-edit", many.pk)


def test_what_the_task_sheet_shows_of_the_record_is_bounded(
    build, owner, make_task, make_entry, make_photo, rf
):
    few, many = make_task("1"), make_task("2")
    for n in range(33):
        task: Task = few if n < 3 else many
        make_entry(f"Entry {n}.", tasks=[task])
        make_photo(n, ready=False).tasks.add(task)
    request = rf.get("/")
    request.crew = build.crew.get(person=owner)

    def queries_of(task: Task) -> int:
        with CaptureQueriesContext(connection) as queries:
            for name in ("_entries_of_task", "_photos_of_task"):
                context = {"task": task, "build": build, "request": request}
                page = render_to_string(f"journal/{name}.html", context)
                assert ("All 30" in page) == (task == many)
        return len(queries)

    assert queries_of(few) == queries_of(many)
