from __future__ import annotations

import datetime as dt

import pytest
from django.core.exceptions import PermissionDenied

from buildlog.journal.models import Entry
from buildlog.journal.writing import (
    Hours,
    Stale,
    Writing,
    add_entry,
    change_entry,
    delete_entry,
)
from tasks.models import Crew, Work

DAY = dt.date(2026, 2, 7)


@pytest.fixture
def crew_of(build):
    return lambda person: Crew.objects.get(build=build, person=person)


def test_an_entry_logs_its_hours_on_its_day(build, owner, crew_of, make_task):
    task = make_task("2.1")
    writing = Writing(DAY, "Glued.", [task], [Hours(210, owner, task=task), Hours(60, who="Ned")])
    entry, new = add_entry(build, crew_of(owner), writing)

    assert new
    rows = [(w.who, w.person, w.day, w.minutes, w.task) for w in entry.work.all()]
    assert rows == [("Olive", owner, DAY, 210, task), ("Ned", None, DAY, 60, None)]
    assert entry.minutes == 270


def test_logging_hours_makes_the_plan_new(build, owner, crew_of, make_task):
    task = make_task("2.1")
    build.refresh_from_db()
    before = build.plan_version
    add_entry(build, crew_of(owner), Writing(DAY, "", [task], [Hours(60, owner, task=task)]))
    build.refresh_from_db()
    assert build.plan_version > before


def test_the_same_key_twice_is_one_entry_with_its_hours_once(build, owner, crew_of):
    writing = Writing(DAY, "Glued.", [], [Hours(60, owner)], key="abc")
    first, _ = add_entry(build, crew_of(owner), writing)
    second, new = add_entry(build, crew_of(owner), writing)

    assert (second, new) == (first, False)
    assert Work.objects.count() == 1


def test_a_save_begun_on_an_older_text_is_refused_and_changes_nothing(build, owner, crew_of):
    crew = crew_of(owner)
    entry, _ = add_entry(build, crew, Writing(DAY, "First.", key="a"))
    change_entry(entry, crew, Writing(DAY, "Second.", [], [Hours(30, owner)], key="b"), 0)
    with pytest.raises(Stale, match="another window"):
        change_entry(entry, crew, Writing(DAY, "Third.", [], [Hours(45, owner)], key="c"), 0)

    entry.refresh_from_db()
    assert entry.text == "Second."
    assert [w.minutes for w in Work.objects.all()] == [30]


def test_the_same_save_sent_twice_is_no_conflict(build, owner, crew_of):
    crew = crew_of(owner)
    entry, _ = add_entry(build, crew, Writing(DAY, "First."))
    again = Writing(DAY, "Second.", [], [Hours(30, owner)], key="b")
    change_entry(entry, crew, again, 0)
    assert change_entry(entry, crew, again, 0).text == "Second."
    assert Work.objects.count() == 1


def test_a_hand_cannot_log_hours_of_others(build, hand, owner, crew_of):
    with pytest.raises(PermissionDenied, match="your own hours"):
        add_entry(build, crew_of(hand), Writing(DAY, "", [], [Hours(60, owner)]))
    assert not Entry.objects.exists()
    assert not Work.objects.exists()


def test_a_hand_cannot_change_hours_of_others_in_their_own_entry(build, hand, owner, crew_of):
    entry, _ = add_entry(build, crew_of(hand), Writing(DAY, "Mine."))
    theirs = Work.objects.create(build=build, person=owner, who="Olive", day=DAY, minutes=60)
    entry.work.add(theirs)
    changed = Hours(5, hand, work=theirs, was=60)
    with pytest.raises(PermissionDenied, match="Olive"):
        change_entry(entry, crew_of(hand), Writing(DAY, "Mine.", [], [changed]), 0)

    theirs.refresh_from_db()
    assert (theirs.minutes, theirs.person) == (60, owner)
    entry.refresh_from_db()
    assert entry.version == 0


def test_a_hand_cannot_give_their_hours_to_another(build, hand, owner, crew_of):
    entry, _ = add_entry(build, crew_of(hand), Writing(DAY, "", [], [Hours(60, hand)]))
    changed = Hours(60, owner, work=entry.work.get(), was=60)
    with pytest.raises(PermissionDenied):
        change_entry(entry, crew_of(hand), Writing(DAY, "", [], [changed]), 0)


def test_hours_changed_meanwhile_are_not_overwritten(build, owner, crew_of):
    entry, _ = add_entry(build, crew_of(owner), Writing(DAY, "", [], [Hours(60, owner)]))
    work = entry.work.get()
    Work.objects.filter(pk=work.pk).update(minutes=90)
    with pytest.raises(Stale, match="hours of Olive"):
        change = [Hours(45, owner, work=work, was=60)]
        change_entry(entry, crew_of(owner), Writing(DAY, "", [], change), 0)
    assert Work.objects.get().minutes == 90


def test_a_row_emptied_is_removed(build, owner, crew_of):
    entry, _ = add_entry(build, crew_of(owner), Writing(DAY, "", [], [Hours(60, owner)]))
    gone = [Hours(None, owner, work=entry.work.get(), was=60)]
    change_entry(entry, crew_of(owner), Writing(DAY, "", [], gone), 0)
    assert not Work.objects.exists()


def test_hours_follow_an_entry_to_another_day_but_only_ones_own(build, hand, owner, crew_of):
    entry, _ = add_entry(build, crew_of(hand), Writing(DAY, "", [], [Hours(60, hand)]))
    entry.work.add(Work.objects.create(build=build, person=owner, who="Olive", day=DAY, minutes=30))
    change_entry(entry, crew_of(hand), Writing(dt.date(2026, 2, 8), ""), 0)
    assert [(w.who, w.day.day) for w in entry.work.order_by("who")] == [("Hanna", 8), ("Olive", 7)]


def test_deleting_an_entry_keeps_hours_and_photos_unless_told(build, owner, crew_of, make_photo):
    entry, _ = add_entry(build, crew_of(owner), Writing(DAY, "", [], [Hours(60, owner)]))
    photo = make_photo(entry=entry, ready=False)
    delete_entry(entry, crew_of(owner))
    photo.refresh_from_db()
    assert photo.entry is None
    assert Work.objects.count() == 1


def test_deleting_with_hours_takes_ones_own_only(build, hand, owner, crew_of):
    entry, _ = add_entry(build, crew_of(hand), Writing(DAY, "", [], [Hours(60, hand)]))
    entry.work.add(Work.objects.create(build=build, person=owner, who="Olive", day=DAY, minutes=30))
    delete_entry(entry, crew_of(hand), with_hours=True)
    assert [w.who for w in Work.objects.all()] == ["Olive"]


def test_another_hands_entry_is_not_theirs_to_change(build, hand, owner, crew_of):
    entry, _ = add_entry(build, crew_of(owner), Writing(DAY, "Olive's."))
    with pytest.raises(PermissionDenied, match="another's entry"):
        change_entry(entry, crew_of(hand), Writing(DAY, "Mine now."), 0)
    with pytest.raises(PermissionDenied):
        delete_entry(entry, crew_of(hand))
