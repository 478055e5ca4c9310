"""Who may open what: owner, planner, hand, onlooker, stranger, and nobody signed in."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from buildlog.journal.models import Entry, Photo

LOOK = {"owner": 200, "planner": 200, "hand": 200, "onlooker": 200, "stranger": 404}
LOG = LOOK | {"onlooker": 403}
# Of another's entry or photo; the fixtures make them the owner's.
PLAN = LOG | {"hand": 403}

PAGES = [
    ("log", [], LOOK),
    ("log-entry", ["entry"], LOOK),
    ("photos", [], LOOK),
    ("photo", ["photo"], LOOK),
    ("photos-waiting", [], LOOK),
    ("photo-rendition", ["photo", "side", "sha256"], LOOK),
    ("log-new", [], LOG),
    ("log-quick", [], LOG),
    ("photos-add", [], LOG),
    ("photo-original", ["photo"], LOG),
    ("log-edit", ["entry"], PLAN),
    ("log-delete", ["entry"], PLAN),
    ("photo-delete", ["photo"], PLAN),
]

ACTS = [
    ("log-new", [], LOG),
    ("log-quick", [], LOG),
    ("photos-add", [], LOG),
    ("photo-again", ["photo"], LOG),
    ("photo", ["photo"], PLAN),
    ("photo-turn", ["photo"], PLAN),
    ("photo-delete", ["photo"], PLAN),
    ("log-edit", ["entry"], PLAN),
    ("log-delete", ["entry"], PLAN),
    ("photos-shift", [], LOG),
    ("photos-shift-back", [], LOG),
    ("photos-place", [], LOG),
]


@pytest.fixture
def at(build, make_entry, make_photo):
    photo, entry = make_photo(), make_entry()
    made = photo.renditions.get(long_side=320)
    known = {"photo": photo.pk, "entry": entry.pk, "side": 320, "sha256": made.sha256}
    return lambda name, args: reverse(name, args=[build.slug, *(known[arg] for arg in args)])


@pytest.fixture
def people(owner, planner, hand, onlooker, stranger):
    return {"owner": owner, "planner": planner, "hand": hand, "onlooker": onlooker,
            "stranger": stranger}  # fmt: skip


def status(response) -> int:
    if response.streaming:
        b"".join(response.streaming_content)
    return response.status_code


@pytest.mark.parametrize(("name", "args", "expected"), PAGES, ids=[p[0] for p in PAGES])
def test_pages_open_for_those_who_may(at, people, as_person, name, args, expected):
    seen = {who: status(as_person(person).get(at(name, args))) for who, person in people.items()}
    assert seen == expected


@pytest.mark.parametrize(("name", "args", "expected"), ACTS, ids=[a[0] for a in ACTS])
def test_acts_are_refused_to_those_who_may_not(at, people, as_person, name, args, expected):
    for who in ("stranger", "onlooker", "hand"):
        answer = status(as_person(people[who]).post(at(name, args)))
        if expected[who] == 200:
            assert answer in (200, 302, 422), who
        else:
            assert answer == expected[who], who
    assert Entry.objects.count() == Photo.objects.count() == 1


@pytest.mark.parametrize(("name", "args"), [page[:2] for page in PAGES], ids=[p[0] for p in PAGES])
def test_nobody_signed_in_is_sent_to_the_door(at, name, args):
    response = Client().get(at(name, args))
    assert response.status_code == 302
    assert response["Location"].startswith(reverse("sign-in"))


def test_a_hand_changes_and_deletes_what_is_their_own(
    at, build, hand, make_entry, make_photo, as_person
):
    photo, entry = make_photo(9, person=hand), make_entry(person=hand)
    client = as_person(hand)
    for name, thing in (("log-edit", entry), ("log-delete", entry), ("photo-delete", photo)):
        assert client.get(reverse(name, args=[build.slug, thing.pk])).status_code == 200
    client.post(reverse("photo-delete", args=[build.slug, photo.pk]))
    client.post(reverse("log-delete", args=[build.slug, entry.pk]))
    assert not Photo.objects.filter(pk=photo.pk).exists()
    assert not Entry.objects.filter(pk=entry.pk).exists()


def test_a_row_of_another_build_is_not_there(
    build, owner, stranger, make_photo, make_entry, as_person
):
    """The stranger owns another build; its address opens nothing of this one."""
    photo, entry = make_photo(), make_entry()
    client = as_person(stranger)
    for name, pk in (("photo", photo.pk), ("photo-original", photo.pk), ("log-entry", entry.pk)):
        assert client.get(reverse(name, args=["other", pk])).status_code == 404
