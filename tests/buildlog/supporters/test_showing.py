from __future__ import annotations

import datetime as dt

import pytest
from django.utils import timezone

from buildlog.supporters import showing
from buildlog.supporters.models import Showing, Update

NOW = dt.datetime(2026, 3, 7, 10, tzinfo=dt.UTC)


def test_nothing_is_shown_until_it_is(build, page, make_update, make_photo):
    make_update(photos=[make_photo()])
    assert showing.shown_page(page.address) is None
    assert not showing.shown_updates(build).exists()
    assert not showing.photos_outside(build).exists()


def test_showing_is_recorded_with_who_and_when(owner, make_update):
    row = make_update()
    assert showing.show(row, owner, NOW)
    act = Showing.objects.get()
    assert (act.update, act.shown, act.by, act.at) == (row, True, owner, NOW)


def test_the_newest_act_decides(owner, build, make_update):
    row = make_update()
    for hours, act in enumerate((showing.show, showing.take_back, showing.show)):
        act(row, owner, NOW + dt.timedelta(hours=hours))
        assert showing.is_shown(row) == (act is showing.show)
        assert showing.shown_updates(build).exists() == (act is showing.show)
    (found,) = showing.shown_updates(build)
    assert found.first_at == NOW
    assert found.showing_at == NOW + dt.timedelta(hours=2)


def test_of_two_acts_at_one_moment_the_later_row_decides(owner, build, make_update):
    row = make_update()
    showing.show(row, owner, NOW)
    showing.take_back(row, owner, NOW)
    assert not showing.shown_updates(build).exists()


def test_a_double_click_is_recorded_once(owner, make_update, make_photo, page):
    for thing in (make_update(), make_photo(), page):
        assert showing.show(thing, owner, NOW)
        assert not showing.show(thing, owner, NOW)
        assert showing.take_back(thing, owner, NOW)
        assert not showing.take_back(thing, owner, NOW)
    assert Showing.objects.count() == 6


def test_taking_back_what_was_never_shown_records_nothing(owner, make_update):
    assert not showing.take_back(make_update(), owner, NOW)
    assert not Showing.objects.exists()


class TestPhotosOutside:
    def test_one_shown_by_itself(self, build, make_photo, show):
        photo = make_photo()
        make_photo()
        show(photo)
        assert list(showing.photos_outside(build)) == [photo]

    def test_one_in_an_update_while_that_is_shown(
        self, build, make_photo, make_update, show, take_back
    ):
        photo = make_photo()
        row = make_update(photos=[photo])
        assert not showing.photos_outside(build).exists()
        show(row)
        assert list(showing.photos_outside(build)) == [photo]
        assert not showing.photos_shown_alone(build).exists()
        take_back(row)
        assert not showing.photos_outside(build).exists()

    def test_one_in_two_updates_until_the_last_is_taken_back(
        self, build, make_photo, make_update, show, take_back
    ):
        photo = make_photo()
        one, two = make_update(photos=[photo]), make_update("Two", photos=[photo])
        show(one, two)
        assert list(showing.photos_outside(build)) == [photo]
        take_back(one)
        assert list(showing.photos_outside(build)) == [photo]
        take_back(two)
        assert not showing.photos_outside(build).exists()

    def test_one_taken_back_itself_is_gone_from_updates(
        self, build, make_photo, make_update, show, take_back
    ):
        photo = make_photo()
        show(make_update(photos=[photo]))
        take_back(photo)
        assert not showing.photos_outside(build).exists()
        show(photo)
        assert list(showing.photos_outside(build)) == [photo]

    def test_one_left_out_of_the_update(self, build, make_photo, make_update, show):
        photo = make_photo()
        row = make_update(photos=[photo])
        show(row)
        row.photos.remove(photo)
        assert not showing.photos_outside(build).exists()

    def test_of_another_build_is_not_here(self, build, stranger, make_photo, show):
        show(make_photo())
        other = stranger.crew_of.get().build
        assert not showing.photos_outside(other).exists()


@pytest.mark.parametrize("rows", [3, 30])
def test_one_query_each(build, owner, make_update, rows, django_assert_num_queries):
    Update.objects.bulk_create(
        Update(build=build, title=f"u{n}", day=NOW.date()) for n in range(rows)
    )
    for row in Update.objects.all():
        showing.show(row, owner, timezone.now())
    with django_assert_num_queries(1):
        assert len(showing.shown_updates(build)) == rows
