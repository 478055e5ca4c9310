from __future__ import annotations

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from buildlog.door import first
from buildlog.door.first import LinkGone, open_first_link, use_first_link
from buildlog.door.models import FirstLink
from tasks.models import Build, Crew, Person, Role


def url(token):
    return reverse("first", args=[token])


def test_link_makes_the_account_and_signs_in(client, first_token, account_data):
    assert client.get(url(first_token)).status_code == 200
    answer = client.post(url(first_token), account_data())
    assert answer.url == reverse("front")
    person = Person.objects.get()
    assert (person.username, person.name) == ("nell", "Nell Wright")
    assert client.session["_auth_user_id"] == str(person.pk)


def test_token_is_not_kept(first_token):
    assert first_token not in str(FirstLink.objects.values())


def test_link_works_once(first_token, account_data):
    Client().post(url(first_token), account_data())
    for client in (Client(), Client()):
        assert client.get(url(first_token)).status_code == 404
        answer = client.post(url(first_token), account_data(username="second"))
        assert answer.status_code == 404
    assert Person.objects.count() == 1


def test_a_second_click_leads_in(client, first_token, account_data):
    client.post(url(first_token), account_data())
    assert client.post(url(first_token), account_data()).url == reverse("front")


def test_quicker_somebody_wins_and_nothing_else_is_made(
    monkeypatch, client, first_token, account_data
):
    """Both pass the first look; only one of them changes the row of the link."""
    monkeypatch.setattr("buildlog.door.views.arriving.first_link_works", lambda token: True)
    use_first_link(first_token, lambda: Person.objects.create_user("quick"), timezone.now())
    answer = client.post(url(first_token), account_data())
    assert answer.status_code == 404
    assert list(Person.objects.values_list("username", flat=True)) == ["quick"]


def test_use_raises_and_keeps_the_link_when_an_account_exists(first_token, owner):
    with pytest.raises(LinkGone):
        use_first_link(first_token, lambda: Person.objects.create_user("late"), timezone.now())
    assert not Person.objects.filter(username="late").exists()


def test_wrong_form_keeps_the_link_and_what_was_typed(client, first_token, account_data):
    answer = client.post(url(first_token), account_data(password2="something else"))
    assert "The two passwords are not the same." in answer.content.decode()
    assert 'value="nell"' in answer.content.decode()
    assert client.post(url(first_token), account_data()).status_code == 302


@pytest.mark.parametrize(
    ("password", "reason"),
    [
        ("short", "too short"),
        ("1029384756", "entirely numeric"),
        ("password1234", "too common"),
        ("nell-wright", "too similar"),
    ],
)
def test_weak_passwords_are_refused(client, first_token, account_data, password, reason):
    answer = client.post(url(first_token), account_data(password1=password, password2=password))
    assert reason in answer.content.decode()
    assert not Person.objects.exists()


def test_unknown_token_is_gone(client, db):
    assert client.get(url("never-made")).status_code == 404


def test_a_newer_link_ends_the_older(client, first_token):
    newer = open_first_link()
    assert client.get(url(first_token)).status_code == 404
    assert client.get(url(newer)).status_code == 200


def test_no_link_once_somebody_can_sign_in(owner):
    assert open_first_link() is None


def test_people_without_password_do_not_count(db):
    Person.objects.create_user("helper")
    assert open_first_link() is not None


def test_ownerless_builds_get_their_owner(client, first_token, account_data, build):
    owned = Build.objects.create(name="Owned", slug="owned")
    other = Person.objects.create_user("helper")
    Crew.objects.create(build=owned, person=other, role=Role.OWNER)
    Crew.objects.create(build=build, person=other, role=Role.HAND)
    client.post(url(first_token), account_data())
    places = Crew.objects.filter(person__username="nell")
    assert [(place.build, place.role) for place in places] == [(build, Role.OWNER)]


def test_command_prints_a_link_that_works(client, db, capsys):
    call_command("first_link", "--at", "http://shed.example:8000/")
    printed = capsys.readouterr().out.strip()
    assert printed.startswith("http://shed.example:8000/first/")
    assert client.get(printed.removeprefix("http://shed.example:8000")).status_code == 200


def test_command_refuses_where_an_account_exists(owner):
    with pytest.raises(CommandError, match="reset_password"):
        call_command("first_link")


def test_adopting_twice_does_no_harm(owner, build):
    assert first.adopt_ownerless(owner) == 0
    assert Crew.objects.count() == 1
