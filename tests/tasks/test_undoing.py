from __future__ import annotations

import datetime as dt

import pytest
import time_machine
from django.core import signing

from tasks.models import Build, Link
from tasks.undoing import SALT, CannotUndo, kept, take_back, undo_tag

NOW = dt.datetime(2026, 11, 13, 18, 0, tzinfo=dt.UTC)
HOURS = ["low_minutes", "likely_minutes", "high_minutes"]


@pytest.fixture(autouse=True)
def now():
    with time_machine.travel(NOW, tick=False) as traveller:
        yield traveller


def token_of(tag: str) -> str:
    return tag.removesuffix("/").rsplit("/", 1)[1]


@pytest.fixture
def changed(make_task):
    """A task whose hours were changed from 2 to 5, and the token that takes it back."""
    task = make_task("1", 2)
    before = kept(task)
    task.likely_minutes = task.high_minutes = 300
    task.save()
    return task, token_of(undo_tag(task, before, kept(task), "plan"))


def test_only_what_was_changed_is_put_back(build, changed):
    task, token = changed
    task.name = "Another name"
    task.save()
    version = Build.objects.get(pk=build.pk).plan_version
    words, page = take_back(build, token)
    task.refresh_from_db()
    assert (task.low_minutes, task.likely_minutes, task.high_minutes) == (120, 120, 120)
    assert task.name == "Another name"
    assert words == "1 Another name is as it was before."
    assert page == "plan"
    assert Build.objects.get(pk=build.pk).plan_version > version


def test_what_was_changed_again_is_left(build, changed):
    task, token = changed
    task.high_minutes = 400
    task.save()
    with pytest.raises(CannotUndo, match="changed again since"):
        take_back(build, token)
    task.refresh_from_db()
    assert (task.likely_minutes, task.high_minutes) == (300, 400)


def test_a_second_click_changes_nothing(build, changed):
    take_back(build, changed[1])
    with pytest.raises(CannotUndo):
        take_back(build, changed[1])


def test_after_two_hours_it_is_too_late(build, changed, now):
    now.shift(dt.timedelta(hours=2, seconds=1))
    with pytest.raises(CannotUndo, match="too long ago"):
        take_back(build, changed[1])


@pytest.mark.parametrize(
    "token",
    ["", "x", "a:b:c", signing.dumps([1], salt=SALT)],
    ids=["nothing", "a letter", "no token", "of something else"],
)
def test_what_was_not_signed_here_is_refused(build, token):
    with pytest.raises(CannotUndo):
        take_back(build, token)


def test_it_is_for_its_own_build(stranger, changed):
    other = Build.objects.get(slug="other")
    with pytest.raises(CannotUndo, match="another build"):
        take_back(other, changed[1])


def test_what_would_break_a_rule_is_refused(build, changed):
    task, token = changed
    task.low_minutes = 250  # what is put back would be lower
    task.save()
    with pytest.raises(CannotUndo, match="Hours must rise"):
        take_back(build, token)


def test_a_new_link_is_taken_out_again(build, make_task):
    link = Link.objects.create(build=build, before=make_task("1"), after=make_task("2"))
    words, page = take_back(build, token_of(undo_tag(link, None, kept(link), "plan-network")))
    assert not Link.objects.exists()
    assert words == "Taken back: 2 Task 2 waits for 1 Task 1."
    assert page == "plan-network"


def test_a_removed_link_is_put_back_as_it_was(build, make_task):
    link = Link.objects.create(
        build=build, before=make_task("1"), after=make_task("2"), lag_minutes=90, kind="start-start"
    )
    number, before = link.pk, kept(link)
    link.delete()
    link.pk = number
    take_back(build, token_of(undo_tag(link, before, None, "plan-network")))
    again = Link.objects.get()
    assert (again.pk, again.lag_minutes, again.kind) == (number, 90, "start-start")


def test_a_removed_link_that_would_close_a_ring_by_now_stays_out(build, make_task):
    first, then = make_task("1"), make_task("2")
    link = Link.objects.create(build=build, before=first, after=then)
    number, before = link.pk, kept(link)
    link.delete()
    link.pk = number
    token = token_of(undo_tag(link, before, None, "plan-network"))
    Link.objects.create(build=build, before=then, after=first)
    with pytest.raises(CannotUndo, match="ring"):
        take_back(build, token)


def test_what_was_deleted_meanwhile_is_said(build, changed):
    changed[0].delete()
    with pytest.raises(CannotUndo, match="not there any more"):
        take_back(build, changed[1])


def test_a_change_of_nothing_has_no_button(make_task):
    task = make_task("1")
    assert undo_tag(task, kept(task), kept(task), "plan") == ""


def test_moments_and_nothing_are_put_back_too(build, make_task):
    task = make_task("1", pinned_at=NOW + dt.timedelta(days=8))
    before = kept(task, ["pinned_at"])
    task.pinned_at = None
    task.save()
    take_back(build, token_of(undo_tag(task, before, kept(task, ["pinned_at"]), "plan")))
    task.refresh_from_db()
    assert task.pinned_at == NOW + dt.timedelta(days=8)
