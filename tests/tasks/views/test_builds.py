from __future__ import annotations

import datetime as dt

import pytest
from django.test import Client
from django.urls import reverse

from tasks.models import Build, Crew, Person, Role, ShopHours
from tasks.plan import plan_of

NEW = {
    "name": "Sandling", "about": "", "started": "2026-01-10", "length_system": "imperial",
    "denominator": "32", "currency": "GBP", "time_zone": "Europe/London", "day_5": "9–17",
    "day_6": "10–14", "start_from": "outline",
}  # fmt: skip


@pytest.fixture
def person(db) -> Person:
    return Person.objects.create_user("wilma", password="a long pass phrase")


def test_a_new_builder_has_a_plan_with_dates_after_one_page(person, as_person):
    client = as_person(person)
    assert client.get(reverse("new-build")).status_code == 200
    answer = client.post(reverse("new-build"), NEW)
    build = Build.objects.get()
    assert answer["Location"] == reverse("plan", args=[build.slug])
    assert (build.name, build.slug, build.started) == ("Sandling", "sandling", dt.date(2026, 1, 10))
    assert (build.length_system, build.denominator) == ("imperial", 32)
    assert (build.currency, build.time_zone) == ("GBP", "Europe/London")
    assert Crew.objects.get().role == Role.OWNER
    assert ShopHours.objects.count() == 2
    plan = plan_of(build)
    assert plan.launch is not None and plan.problems == []
    assert len(plan.tasks) > 50


@pytest.mark.parametrize(
    ("start", "page", "tasks"),
    [("lists", "lists", False), ("both", "lists", True), ("nothing", "plan", False)],
)
def test_the_way_goes_on_as_chosen(person, as_person, start, page, tasks):
    answer = as_person(person).post(reverse("new-build"), NEW | {"start_from": start})
    build = Build.objects.get()
    assert answer["Location"] == reverse(page, args=[build.slug])
    assert build.tasks.exists() is tasks


def test_a_double_click_starts_one_build(person, as_person):
    client = as_person(person)
    first = client.post(reverse("new-build"), NEW)
    assert client.post(reverse("new-build"), NEW)["Location"] == first["Location"]
    assert Build.objects.count() == 1


def test_two_people_may_give_the_same_name(person, build, owner, as_person):
    Build.objects.filter(pk=build.pk).update(slug="sandling")
    as_person(person).post(reverse("new-build"), NEW)
    assert Build.objects.get(name="Sandling").slug.startswith("sandling-")


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"name": " "}, "This field is required."),
        ({"time_zone": "Shedland"}, "“Shedland” is not a time zone"),
        ({"currency": "XYZ"}, "Select a valid choice"),
        ({"day_5": "all day"}, "“all day” is no stretch of hours"),
        ({"started": "yesterday"}, "Enter a valid date."),
        ({"start_from": ""}, "This field is required."),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_made(person, as_person, wrong, said):
    answer = as_person(person).post(reverse("new-build"), NEW | wrong)
    assert answer.status_code == 422
    assert said in answer.text
    assert "Europe/London" in answer.text or "time_zone" in wrong
    assert not Build.objects.exists()


def test_the_next_build_is_proposed_as_the_last(owner, build, as_person):
    page = as_person(owner).get(reverse("new-build"))
    assert page.context["form"]["time_zone"].value() == "Europe/Paris"


def test_who_is_not_signed_in_starts_nothing(db):
    assert reverse("sign-in") in Client().post(reverse("new-build"), NEW)["Location"]
    assert not Build.objects.exists()


def test_settings_are_kept_and_leave_the_plan_s_version_alone(build, by_owner, fields):
    address = reverse("build-settings", args=[build.slug])
    sent = fields(by_owner.get(address))
    Build.objects.filter(pk=build.pk).update(plan_version=41)  # meanwhile
    assert (
        by_owner.post(address, sent | {"name": "Marsh Hen", "denominator": "8"}).status_code == 302
    )
    build.refresh_from_db()
    assert (build.name, build.denominator, build.slug) == ("Marsh Hen", 8, "tender")
    assert build.plan_version == 42


def test_stale_settings_are_refused(build, by_owner, fields):
    address = reverse("build-settings", args=[build.slug])
    sent = fields(by_owner.get(address))
    by_owner.post(address, sent | {"name": "One"})
    refused = by_owner.post(address, sent | {"name": "Two"})
    assert refused.status_code == 409
    assert "One" in refused.text and "Two" in refused.text


def test_settings_show_every_field_and_its_choices(build, by_owner):
    page = by_owner.get(reverse("build-settings", args=[build.slug])).text
    assert '<option value="EUR" selected>EUR Euro</option>' in page
    assert '<option value="Europe/Paris">' in page
