from __future__ import annotations

import time_machine
from django.urls import reverse

URL = "/sign-in/"
GOOD = {"username": "olive", "password": "a long pass phrase"}


def wrong(client, n, username="olive"):
    for _ in range(n):
        answer = client.post(URL, {"username": username, "password": "not this one"})
    return answer


def test_sign_in_leads_to_front(client, owner):
    answer = client.post(URL, GOOD)
    assert answer.status_code == 302
    assert answer.url == reverse("front")


def test_sign_in_gives_the_session_a_new_key(client, owner):
    client.get(URL)
    session = client.session
    session["before"] = 1
    session.save()
    old = session.session_key
    client.cookies["sessionid"] = old
    client.post(URL, GOOD)
    assert client.session.session_key != old


def test_sign_in_follows_next_inside_only(client, owner, build):
    inside = reverse("plan", args=[build.slug])
    assert client.post(URL, GOOD | {"next": inside}).url == inside
    client.post("/sign-out/")
    for outside in ("https://elsewhere.example/", "//elsewhere.example/", "javascript:alert(1)"):
        assert client.post(URL, GOOD | {"next": outside}).url == reverse("front")
        client.post("/sign-out/")


def test_wrong_name_and_wrong_password_look_the_same(client, owner):
    bodies = []
    for username in ("olive", "nobody"):
        answer = client.post(URL, {"username": username, "password": "x"})
        assert answer.status_code == 200
        bodies.append(answer.context["form"].errors.as_json())
    assert bodies[0] == bodies[1]


def test_an_inactive_account_looks_like_a_wrong_password(client, owner):
    wrong_password = client.post(URL, GOOD | {"password": "x"}).context["form"].errors.as_json()
    owner.is_active = False
    owner.save()
    assert client.post(URL, GOOD).context["form"].errors.as_json() == wrong_password


def test_five_wrong_passwords_pause_the_name(client, owner):
    assert wrong(client, 4).status_code == 200
    answer = wrong(client, 1)
    assert answer.status_code == 429
    assert answer["Retry-After"] == "900"
    assert "Try again in 15 minutes" in answer.content.decode()
    # Not even the right one works now, from here.
    assert client.post(URL, GOOD).status_code == 429
    assert "_auth_user_id" not in client.session


def test_pause_counts_down_and_is_not_prolonged(client, owner):
    with time_machine.travel("2026-03-07 10:00:00+00:00", tick=False) as clock:
        wrong(client, 5)
        clock.move_to("2026-03-07 10:09:00+00:00")
        answer = wrong(client, 1)
        assert answer["Retry-After"] == "360"
        assert "Try again in 6 minutes" in answer.content.decode()
        clock.move_to("2026-03-07 10:15:01+00:00")
        assert client.post(URL, GOOD).status_code == 302


def test_pause_is_the_same_for_a_name_without_account(client, db):
    answer = wrong(client, 5, "nobody")
    assert answer.status_code == 429
    assert "Try again in 15 minutes" in answer.content.decode()


def test_pause_does_not_keep_others_out(client, owner, hand):
    wrong(client, 5)
    assert client.post(URL, GOOD | {"username": "hanna"}).status_code == 302


def test_pause_does_not_keep_the_owner_out_elsewhere(client, owner):
    wrong(client, 5)
    answer = client.post(URL, GOOD, REMOTE_ADDR="192.0.2.7")
    assert answer.status_code == 302


def test_sign_in_forgets_earlier_mistakes(client, owner):
    wrong(client, 4)
    client.post(URL, GOOD)
    client.post("/sign-out/")
    assert wrong(client, 4).status_code == 200


def test_what_is_kept_of_a_wrong_try_holds_no_password(client, owner):
    from axes.models import AccessAttempt

    wrong(client, 1)
    (row,) = AccessAttempt.objects.all()
    assert "not this one" not in row.post_data


def test_sign_out_wants_a_post(client, owner):
    client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    assert client.get("/sign-out/").status_code == 405
    assert client.post("/sign-out/").url == URL
    assert "_auth_user_id" not in client.session


def test_without_sign_in_a_page_leads_to_sign_in(client, build):
    page = reverse("plan", args=[build.slug])
    assert client.get(page).url == f"{URL}?next={page}"
