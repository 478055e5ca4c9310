"""Changes over several rows, where other rooms have rows that hang on a task."""

from __future__ import annotations

import datetime as dt

import pytest

from buildlog.journal.models import Entry
from buildlog.materials.models import Material, Part
from tasks import changes
from tasks.changes import Refused
from tasks.models import Build, Crew, Link, Role, ShopHours, Task, Work


@pytest.mark.parametrize(
    ("codes", "following"),
    [
        ([], "1"),
        (["1", "2"], "3"),
        (["T01", "T09"], "T10"),
        (["T99"], "T100"),
        (["A", "B-7"], "B-8"),
        (["3a", "2"], "3"),  # what is no plain number is passed over
    ],
)
def test_the_next_number_follows_the_highest(build, make_task, codes, following):
    for code in codes:
        make_task(code)
    assert changes.next_code(build) == following


def test_numbers_of_other_builds_do_not_count(build, make_task, stranger):
    other = Build.objects.get(slug="other")
    stage = other.stages.create(name="Theirs")
    Task.objects.create(build=other, stage=stage, code="900", name="x")
    assert changes.next_code(build) == "1"


def test_a_task_with_parts_and_hours_is_not_deleted_and_all_is_named(build, make_task):
    task = make_task("1", name="Stem")
    material = Material.objects.create(build=build, name="Ash", kind="timber", unit="length")
    for name in ("Inner stem", "Outer stem"):
        Part.objects.create(build=build, task=task, material=material, name=name)
    Work.objects.create(build=build, task=task, who="O", day=dt.date(2026, 1, 1), minutes=30)
    with pytest.raises(Refused, match=r"1 Stem cannot be deleted: 30 min logged, 2 parts hang"):
        changes.delete_task(task)
    assert Task.objects.filter(pk=task.pk).exists()
    assert Part.objects.filter(task=task).count() == 2


def test_a_task_that_the_log_tells_of_is_not_deleted(build, make_task):
    """Its entries would stay, but no longer say of which task they are."""
    task, other = make_task("1"), make_task("2")
    Link.objects.create(build=build, before=task, after=other)
    entry = Entry.objects.create(build=build, day=dt.date(2026, 1, 1), text="Fitted.")
    entry.tasks.add(task)
    with pytest.raises(Refused, match="cannot be deleted"):
        changes.delete_task(task)
    assert entry.tasks.get() == task
    assert Link.objects.exists()


def test_a_running_clock_keeps_its_task(build, make_task, hand):
    task = make_task("1")
    now = dt.datetime(2026, 11, 14, 9, tzinfo=dt.UTC)
    Work.objects.create(
        build=build, task=task, person=hand, who="H", day=now.date(), started_at=now
    )
    with pytest.raises(Refused, match="0 h logged and a running clock"):
        changes.delete_task(task)


def test_a_new_build_has_an_owner_hours_and_an_address(db, django_user_model):
    person = django_user_model.objects.create_user("wilma", password="x")
    build = changes.make_build(Build(name="Été 2"), person, {5: [(540, 720), (780, 900)]})
    assert build.slug == "ete-2"
    assert Crew.objects.get(build=build).role == Role.OWNER
    assert ShopHours.objects.filter(build=build).count() == 2


def test_a_name_without_letters_still_gets_an_address(db, django_user_model):
    person = django_user_model.objects.create_user("wilma", password="x")
    assert changes.make_build(Build(name="☀"), person, {}).slug == "build"
