"""The private address: who has one, what it answers, and when it stops working."""

from __future__ import annotations

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from buildlog.along.models import CalendarAddress
from buildlog.door.crew import take_from_crew
from buildlog.door.models import hashed
from tasks.models import Answer, Build, Person


def page_of(build) -> str:
    return reverse("take-along", args=[build.slug])


@pytest.fixture
def task(make_task):
    return make_task("1", hours=3)


def test_everybody_who_may_look_makes_their_own(
    build, task, owner, planner, hand, onlooker, make_address, client
):
    made = {make_address(person) for person in (owner, planner, hand, onlooker)}
    assert len(made) == 4
    for address in made:
        assert client.get(address).status_code == 200
    assert CalendarAddress.objects.count() == 4


def test_to_strangers_there_is_no_such_page(build, as_person, stranger):
    assert as_person(stranger).get(page_of(build)).status_code == 404
    client = as_person(stranger)
    for name in ("new-calendar-address", "revoke-calendar-address"):
        assert client.post(reverse(name, args=[build.slug])).status_code == 404
    assert not CalendarAddress.objects.exists()


def test_the_address_is_shown_once_and_only_its_hash_is_kept(build, owner, as_person, make_address):
    address = make_address(owner)
    token = address.removeprefix("/calendar/").removesuffix(".ics")
    assert len(token) == 43
    row = CalendarAddress.objects.get()
    assert row.token_hash == hashed(token)
    page = as_person(owner).get(page_of(build))
    assert token not in page.text
    assert "Replace it with a new one" in page.text
    assert page["Cache-Control"] == "max-age=0, no-cache, no-store, must-revalidate, private"


def test_the_page_offers_it_to_the_calendar_of_the_device(build, owner, as_person):
    answer = as_person(owner).post(reverse("new-calendar-address", args=[build.slug]))
    assert 'href="webcal://testserver/calendar/' in answer.text
    assert "no-store" in answer["Cache-Control"]


def test_a_new_address_puts_the_old_one_out_and_keeps_the_events(
    build, task, owner, make_address, read, client
):
    old = make_address(owner)
    before = read(old)
    new = make_address(owner)
    assert client.get(old).status_code == 404
    assert {k: [e["uid"] for e in v] for k, v in read(new).items()} == {
        k: [e["uid"] for e in v] for k, v in before.items()
    }
    assert CalendarAddress.objects.count() == 1


def test_revoked_it_is_gone(build, owner, as_person, make_address, client):
    address = make_address(owner)
    revoke = reverse("revoke-calendar-address", args=[build.slug])
    page = as_person(owner).post(revoke, follow=True)
    assert "The address no longer works." in page.text
    assert "Make a calendar address" in page.text
    assert client.get(address).status_code == 404
    again = as_person(owner).post(revoke, follow=True)
    assert again.status_code == 200


def test_who_leaves_the_crew_reads_nothing_more(build, owner, hand, make_address, client):
    address = make_address(hand)
    take_from_crew(build.crew.get(person=hand), timezone.now())
    assert client.get(address).status_code == 404
    build.crew.create(person=hand, role="hand")
    assert client.get(address).status_code == 404


def test_an_account_put_out_of_use_reads_nothing(build, owner, make_address, client):
    address = make_address(owner)
    Person.objects.filter(pk=owner.pk).update(is_active=False)
    assert client.get(address).status_code == 404


@pytest.mark.parametrize("token", ["x", "x" * 43, "%C3%A9", "a" * 5000])
def test_wrong_tokens_find_nothing(build, client, db, token):
    assert client.get(f"/calendar/{token}.ics").status_code == 404


def test_one_address_reads_one_build(build, owner, make_address, read, task):
    other = Build.objects.create(name="Other", slug="other")
    other.crew.create(person=owner, role="owner")
    events = read(make_address(owner))
    assert "1 Task 1" in events
    assert CalendarAddress.objects.get().crew.build == build


def test_what_it_answers_with(build, task, owner, make_address, client):
    answer = client.get(make_address(owner))
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert answer["X-Robots-Tag"] == "noindex, nofollow"
    assert answer["Referrer-Policy"] == "no-referrer"
    assert answer["Cache-Control"] == "private, no-cache"
    assert not answer.cookies


def test_it_only_reads(build, owner, make_address, client):
    address = make_address(owner)
    assert client.post(address).status_code == 405
    assert client.head(address).status_code == 200


def test_nothing_new_costs_two_queries_and_no_words(
    build, task, owner, make_address, client, django_assert_num_queries
):
    address = make_address(owner)
    first = client.get(address)
    with django_assert_num_queries(2):
        again = client.get(address, headers={"if-none-match": first["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    since = client.get(address, headers={"if-modified-since": first["Last-Modified"]})
    assert since.status_code == 304


def test_what_changed_is_told_again(build, task, owner, make_address, client, clock):
    address = make_address(owner)
    first = client.get(address)
    clock.shift(dt.timedelta(minutes=5))
    task.name = "Another name"
    task.save()
    again = client.get(address, headers={"if-none-match": first["ETag"]})
    assert again.status_code == 200
    assert "Another name" in again.text
    assert again["Last-Modified"] > first["Last-Modified"]


def test_the_same_content_keeps_its_mark_without_the_cache(
    build, task, owner, make_address, client, clock
):
    from django.core.cache import cache

    address = make_address(owner)
    first = client.get(address)
    clock.shift(dt.timedelta(minutes=5))
    cache.clear()
    Answer.objects.all().delete()
    again = client.get(address)
    assert again["ETag"] == first["ETag"]
    assert again["Last-Modified"] == first["Last-Modified"]
    assert again.content == first.content


def test_the_page_tells_when_it_was_last_read(build, owner, as_person, make_address, client, clock):
    address = make_address(owner)
    assert "no calendar has read it yet" in as_person(owner).get(page_of(build)).text
    client.get(address)
    first = CalendarAddress.objects.get().last_read_at
    assert "last read by a calendar" in as_person(owner).get(page_of(build)).text
    clock.shift(dt.timedelta(minutes=30))
    client.get(address)
    assert CalendarAddress.objects.get().last_read_at == first
    clock.shift(dt.timedelta(minutes=31))
    client.get(address)
    assert CalendarAddress.objects.get().last_read_at > first
