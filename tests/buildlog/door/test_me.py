from __future__ import annotations

import re

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from buildlog.door.models import ApiToken, SignIn

OLD, NEW = "a long pass phrase", "another long phrase"


def change(old=OLD, new=NEW, again=NEW):
    return {"old_password": old, "new_password1": new, "new_password2": again}


def test_name_is_saved(as_person, owner):
    as_person(owner).post(reverse("save-name"), {"name": "Olive Oakum"})
    owner.refresh_from_db()
    assert owner.name == "Olive Oakum"


def test_empty_name_is_refused(as_person, owner):
    answer = as_person(owner).post(reverse("save-name"), {"name": " "})
    assert answer.status_code == 422
    owner.refresh_from_db()
    assert owner.name == "Olive"


def test_new_password_keeps_this_device_and_ends_the_others(as_person, owner):
    here, there = as_person(owner), as_person(owner)
    assert here.post(reverse("save-password"), change()).status_code == 302
    assert here.get(reverse("me")).status_code == 200
    assert there.get(reverse("me")).status_code == 302
    assert Client().post("/sign-in/", {"username": "olive", "password": NEW}).status_code == 302


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (change(old="wrong"), "This is not your present password."),
        (change(again="different"), "The two passwords are not the same."),
        (change(new="short", again="short"), "too short"),
    ],
)
def test_password_change_is_refused_with_its_reason(as_person, owner, data, reason):
    answer = as_person(owner).post(reverse("save-password"), data)
    assert answer.status_code == 422
    assert reason in answer.content.decode()
    owner.refresh_from_db()
    assert owner.check_password(OLD)


def test_sign_out_everywhere_ends_my_sign_ins_and_nobody_elses(as_person, owner, hand):
    here, there, other = as_person(owner), as_person(owner), as_person(hand)
    assert here.post(reverse("sign-out-everywhere")).url == "/sign-in/"
    assert here.get(reverse("me")).status_code == 302
    assert there.get(reverse("me")).status_code == 302
    assert other.get(reverse("me")).status_code == 200
    assert list(SignIn.objects.exclude(person_key=None).values_list("person_key", flat=True)) == [
        hand.pk
    ]


def test_token_is_shown_once_and_kept_as_a_hash(as_person, owner):
    client = as_person(owner)
    answer = client.post(reverse("add-token"), {"name": "spreadsheet"})
    token = re.search(r'id="new-token"[^>]*value="([^"]+)"', answer.content.decode())[1]
    assert "no-store" in answer["Cache-Control"]
    text = client.get(reverse("me")).content.decode()
    assert "spreadsheet" in text
    assert token not in text
    assert token not in str(ApiToken.objects.values())


def test_token_of_somebody_else_cannot_be_revoked(as_person, owner, hand):
    row = ApiToken.objects.create(person=owner, name="mine", token_hash="x")
    assert as_person(hand).post(reverse("revoke-token", args=[row.pk])).status_code == 404
    as_person(owner).post(reverse("revoke-token", args=[row.pk]))
    assert not ApiToken.objects.exists()


def test_query_count_does_not_grow(as_person, owner):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from tasks.models import Build, Crew

    client = as_person(owner)
    counts = []
    for start, end in ((0, 3), (3, 30)):
        for n in range(start, end):
            ApiToken.objects.create(person=owner, name=f"t{n}", token_hash=f"h{n}")
            made = Build.objects.create(name=f"b{n}", slug=f"b{n}")
            Crew.objects.create(build=made, person=owner)
        with CaptureQueriesContext(connection) as queries:
            client.get(reverse("me"))
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_reset_password_command_lets_a_locked_out_owner_in(client, as_person, owner, capsys):
    there = as_person(owner)
    for _ in range(5):
        locked = client.post("/sign-in/", {"username": "olive", "password": "wrong"})
    assert locked.status_code == 429
    call_command("reset_password", "olive", "--make")
    password = re.search(r"Password: (\S+)", capsys.readouterr().out)[1]
    answer = client.post("/sign-in/", {"username": "olive", "password": password})
    assert answer.status_code == 302
    assert there.get(reverse("me")).status_code == 302


def test_reset_password_command_names_who_there_is(owner, hand):
    with pytest.raises(CommandError, match=r"Nobody signs in as “nobody”.*hanna, olive"):
        call_command("reset_password", "nobody", "--make")


def test_reset_password_command_asks_and_checks(owner, monkeypatch):
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("getpass.getpass", lambda prompt: "short")
    with pytest.raises(CommandError, match="too short"):
        call_command("reset_password", "olive")
    monkeypatch.setattr("getpass.getpass", lambda prompt: NEW)
    call_command("reset_password", "olive")
    owner.refresh_from_db()
    assert owner.check_password(NEW)
