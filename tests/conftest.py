"""The people and the build that every test may ask for."""

from __future__ import annotations

import datetime as dt
import shutil
from pathlib import Path

import pytest
from django.core.cache import cache
from django.test import Client

from tasks.models import Build, Crew, Person, Role, ShopHours, Stage, Task
from tests.served import served


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what touches the database, so that a run on another one can leave the rest out."""
    for item in items:
        asks = {"db", "transactional_db"} & set(getattr(item, "fixturenames", ()))
        if asks or item.get_closest_marker("django_db"):
            item.add_marker(pytest.mark.database)


@pytest.fixture(autouse=True)
def a_data_folder(settings, tmp_path):
    """Files land in a folder of the test's own; no cache outlives a test."""
    settings.DATA_DIR = tmp_path
    settings.MEDIA_ROOT = tmp_path / "files"
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    cache.clear()
    return tmp_path


def make_person(username: str) -> Person:
    return Person.objects.create_user(
        username, password="a long pass phrase", name=username.title()
    )


@pytest.fixture
def build(db) -> Build:
    """A build in Paris time with six shop hours on Saturday and four on Sunday."""
    made = Build.objects.create(
        name="Tender", slug="tender", time_zone="Europe/Paris", currency="EUR",
        started=dt.date(2026, 1, 10),
    )  # fmt: skip
    ShopHours.objects.bulk_create(
        [
            ShopHours(build=made, weekday=5, start_minute=9 * 60, end_minute=15 * 60),
            ShopHours(build=made, weekday=6, start_minute=10 * 60, end_minute=14 * 60),
        ]
    )
    return made


@pytest.fixture
def owner(build) -> Person:
    person = make_person("olive")
    Crew.objects.create(build=build, person=person, role=Role.OWNER)
    return person


@pytest.fixture
def planner(build) -> Person:
    person = make_person("peter")
    Crew.objects.create(build=build, person=person, role=Role.PLANNER)
    return person


@pytest.fixture
def hand(build) -> Person:
    person = make_person("hanna")
    Crew.objects.create(build=build, person=person, role=Role.HAND)
    return person


@pytest.fixture
def onlooker(build) -> Person:
    person = make_person("otto")
    Crew.objects.create(build=build, person=person, role=Role.ONLOOKER)
    return person


@pytest.fixture
def stranger(db) -> Person:
    """Somebody with an account and a build of their own, who is no crew of `build`."""
    person = make_person("stella")
    other = Build.objects.create(name="Other", slug="other")
    Crew.objects.create(build=other, person=person, role=Role.OWNER)
    return person


@pytest.fixture
def as_person():
    """A client signed in as somebody: `as_person(owner).get(...)`."""

    def sign_in(person: Person) -> Client:
        client = Client()
        client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
        return client

    return sign_in


@pytest.fixture
def stage(build) -> Stage:
    return Stage.objects.create(build=build, name="Frames", order=1)


@pytest.fixture
def make_task(build, stage):
    """Make a task from its number and likely hours; more by keyword."""

    def make(code: str, hours: float = 1, **more) -> Task:
        minutes = round(hours * 60)
        fields = {
            "name": f"Task {code}", "stage": stage,
            "low_minutes": minutes, "likely_minutes": minutes, "high_minutes": minutes,
        }  # fmt: skip
        return Task.objects.create(build=build, code=code, **(fields | more))

    return make


@pytest.fixture(scope="session")
def folder_once_served(tmp_path_factory) -> Path:
    """A data folder that was served once: with tables and static files, but with no rows."""
    folder = tmp_path_factory.mktemp("once-served") / "data"
    with served(folder):
        return folder


@pytest.fixture
def prepared_folder(folder_once_served, tmp_path) -> Path:
    """A data folder of the test's own in which `serve` starts quickly."""
    return Path(shutil.copytree(folder_once_served, tmp_path / "served"))
