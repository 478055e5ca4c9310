from __future__ import annotations

import pytest

from buildlog.background.jobs import run_open_jobs
from buildlog.journal.intake import take_in
from buildlog.journal.models import Photo
from buildlog.journal.writing import Hours, Writing, add_entry
from tasks.models import Crew
from tests.buildlog.journal.pictures import a_photo


@pytest.fixture
def make_photo(build, owner):
    """A photo of the build with its renditions, another one for each seed."""

    def make(seed: int = 0, person=None, ready: bool = True, **fields) -> Photo:
        photo = take_in(build, person or owner, a_photo(f"IMG_{seed:04}.jpg", seed)).photo
        if ready:
            run_open_jobs()
        for name, value in fields.items():
            setattr(photo, name, value)
        photo.save()
        return photo

    return make


@pytest.fixture
def make_entry(build, owner):
    """A log entry, by the owner unless by another of the crew."""

    def make(text: str = "Planed the keelson.", day: str = "2026-02-07", person=None, **more):
        crew = Crew.objects.get(build=build, person=person or owner)
        return add_entry(build, crew, Writing(day, text, **more))[0]

    return make


@pytest.fixture
def hours_of():
    def make(person, minutes: int, task=None) -> Hours:
        return Hours(minutes, person, task=task)

    return make
