from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse

from tasks.models import Build, Crew, Person

FRONT = "/"


def test_it_leads_straight_to_the_bench_where_there_is_one_build(as_person, owner, build):
    assert as_person(owner).get(FRONT).url == reverse("bench", args=[build.slug])


def test_it_lists_all_builds_when_asked(as_person, owner, build):
    page = as_person(owner).get(f"{FRONT}?all=yes").content.decode()
    assert "Tender" in page
    assert "You are owner" in page


def test_it_shows_only_the_builds_one_is_crew_of(as_person, stranger, build):
    page = as_person(stranger).get(f"{FRONT}?all=yes").content.decode()
    assert "Other" in page
    assert "Tender" not in page


def test_it_counts_what_is_finished(as_person, owner, make_task):
    at = dt.datetime(2026, 11, 1, 9, tzinfo=dt.UTC)
    make_task("1", started_at=at, finished_at=at)
    make_task("2")
    page = as_person(owner).get(f"{FRONT}?all=yes").content.decode()
    assert "1 of 2 tasks finished" in page


def test_it_offers_to_begin_a_build_to_whom_has_none(as_person, db):
    person = Person.objects.create_user("nobody", password="a long pass phrase")
    response = as_person(person).get(FRONT)
    assert response.status_code == 200
    assert reverse("new-build") in response.content.decode()


def test_it_sends_whom_it_does_not_know_to_the_door(client, db):
    assert client.get(FRONT).url.startswith(reverse("sign-in"))


@pytest.mark.parametrize("method", ["post", "put", "delete"])
def test_it_takes_nothing(as_person, owner, method):
    assert getattr(as_person(owner), method)(FRONT).status_code == 405


def test_its_queries_do_not_grow(as_person, owner, queries_of):
    def make(count):
        for _ in range(count):
            made = Build(name="Boat")
            made.take_slug()
            made.save()
            Crew.objects.create(build=made, person=owner, role="owner")

    make(3)
    few = queries_of(as_person(owner), f"{FRONT}?all=yes")
    make(27)
    assert len(queries_of(as_person(owner), f"{FRONT}?all=yes")) == len(few)
