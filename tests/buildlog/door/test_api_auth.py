from __future__ import annotations

import datetime as dt

import pytest
import time_machine
from django.test import RequestFactory
from rest_framework.response import Response
from rest_framework.settings import api_settings
from rest_framework.views import APIView

from buildlog.door.api_auth import TokenAuthentication, make_token


class Who(APIView):
    def get(self, request):
        return Response({"who": request.user.username})

    post = get


def call(method="get", **headers):
    answer = Who.as_view()(getattr(RequestFactory(), method)("/", headers=headers))
    answer.render()
    return answer


def test_it_is_the_apis_first_way_in():
    assert api_settings.DEFAULT_AUTHENTICATION_CLASSES[0] is TokenAuthentication


def test_a_token_signs_in_without_csrf(owner):
    _, token = make_token(owner, "script")
    for method in ("get", "post"):
        answer = call(method, authorization=f"Token {token}")
        assert (answer.status_code, answer.data) == (200, {"who": "olive"})


@pytest.mark.parametrize(
    ("header", "reason"),
    [
        ("Token wrong", "not known, or was revoked"),
        ("Token", "Authorization: Token"),
        ("Token two words", "Authorization: Token"),
        ("Token \xe9", "Authorization: Token"),
    ],
)
def test_bad_tokens_are_refused_in_words(db, header, reason):
    answer = call(authorization=header)
    assert answer.status_code == 401
    assert answer["WWW-Authenticate"] == "Token"
    assert reason in answer.data["error"]["message"]


def test_without_token_it_is_401(db):
    assert call().status_code == 401


def test_revoked_and_inactive_are_refused(owner):
    row, token = make_token(owner, "script")
    owner.is_active = False
    owner.save()
    assert call(authorization=f"Token {token}").status_code == 401
    owner.is_active = True
    owner.save()
    row.delete()
    assert call(authorization=f"Token {token}").status_code == 401


def test_one_query_and_a_sparse_note_of_use(owner, django_assert_num_queries):
    row, token = make_token(owner, "script")
    header = {"authorization": f"Token {token}"}
    with time_machine.travel("2026-03-07 10:00:00+00:00", tick=False) as clock:
        with django_assert_num_queries(2):
            call(**header)
        clock.shift(dt.timedelta(minutes=59))
        with django_assert_num_queries(1):
            call(**header)
        row.refresh_from_db()
        assert row.last_used_at == dt.datetime(2026, 3, 7, 10, tzinfo=dt.UTC)
        clock.shift(dt.timedelta(minutes=2))
        with django_assert_num_queries(2):
            call(**header)
