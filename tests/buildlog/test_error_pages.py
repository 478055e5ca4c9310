from __future__ import annotations

import pytest
from django.http import HttpResponseServerError
from django.template import loader
from django.test import Client, RequestFactory
from django.urls import reverse
from django.views.defaults import server_error


def test_what_is_not_there_is_said_in_words(client, db):
    response = client.get("/no/such/page/")
    assert response.status_code == 404
    assert "There is nothing here" in response.content.decode()


def test_a_build_that_one_is_no_crew_of_looks_the_same(as_person, stranger, build):
    response = as_person(stranger).get(reverse("bench", args=[build.slug]))
    assert response.status_code == 404
    page = response.content.decode()
    assert "There is nothing here" in page
    assert build.name not in page


def test_what_is_not_one_s_to_do_says_as_whom(as_person, onlooker, build, make_task):
    url = reverse("start-task", args=[build.slug, make_task("1").pk])
    response = as_person(onlooker).post(url)
    assert response.status_code == 403
    assert "As onlooker" in response.content.decode()


def test_a_form_that_is_too_old_says_that_nothing_was_saved(owner, build, make_task):
    client = Client(enforce_csrf_checks=True)
    client.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    response = client.post(reverse("start-task", args=[build.slug, make_task("1").pk]))
    assert response.status_code == 403
    assert "Nothing was saved" in response.content.decode()


def test_the_page_of_a_failure_needs_no_database_and_no_request():
    response = server_error(RequestFactory().get("/"))
    assert isinstance(response, HttpResponseServerError)
    assert "Something broke on our side" in response.content.decode()


@pytest.mark.parametrize("name", ["400.html", "500.html"])
def test_pages_that_must_always_work_extend_nothing(name):
    assert "<main>" in loader.get_template(name).render({})
