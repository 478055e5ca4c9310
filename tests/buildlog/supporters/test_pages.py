"""The owner's sheets: people, updates, photos shown, the public page."""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from buildlog.supporters import showing
from buildlog.supporters.models import Contribution, PublicPage, Showing, Supporter, Update


@pytest.fixture
def at(build):
    def address(name, *args):
        return reverse(name, args=[build.slug, *args])

    return address


@pytest.fixture
def me(as_person, owner):
    return as_person(owner)


class TestPeople:
    def test_add_edit_delete(self, me, at):
        data = {"name": "Zora", "since": "2026-02-01", "agreed": "on", "shown_as": "Z."}
        answer = me.post(at("add-supporter"), data)
        row = Supporter.objects.get()
        assert answer.url == at("supporter", row.pk)
        assert (row.name, row.agreed, row.shown_as) == ("Zora", True, "Z.")
        me.post(at("supporter", row.pk), data | {"name": "Zora Z", "agreed": ""})
        row.refresh_from_db()
        assert (row.name, row.agreed) == ("Zora Z", False)
        assert Supporter.objects.exists()
        me.post(at("delete-supporter", row.pk))
        assert not Supporter.objects.exists()

    def test_deleting_asks_first_and_says_what_goes(self, me, at, make_supporter):
        row = make_supporter("Zora")
        Contribution.objects.create(supporter=row, day=dt.date(2026, 1, 2), amount="12.50")
        body = me.get(at("delete-supporter", row.pk)).content.decode()
        assert "1 line" in body
        assert "12.50" in body
        assert Supporter.objects.exists()

    def test_bad_input_is_kept_and_named(self, me, at):
        answer = me.post(at("add-supporter"), {"name": "Zora", "since": "31.02."})
        body = answer.content.decode()
        assert 'value="Zora"' in body
        assert not Supporter.objects.exists()
        assert "since" in answer.context["form"].errors

    @pytest.mark.parametrize(("typed", "kept"), [("12.50", "12.5"), ("12,50", "12.5"), ("7", "7")])
    def test_contribution_is_noted(self, me, at, make_supporter, typed, kept):
        row = make_supporter("Zora")
        me.post(
            at("add-contribution", row.pk),
            {"contribution-day": "2026-03-01", "contribution-amount": typed},
        )
        assert Contribution.objects.get().amount == pytest.approx(float(kept))

    @pytest.mark.parametrize("amount", ["0", "-3", "a lot", ""])
    def test_contribution_must_be_an_amount(self, me, at, make_supporter, amount):
        row = make_supporter("Zora")
        answer = me.post(
            at("add-contribution", row.pk),
            {"contribution-day": "2026-03-01", "contribution-amount": amount},
        )
        assert answer.status_code == 422
        assert "amount" in answer.context["contribution_form"].errors
        assert not Contribution.objects.exists()

    def test_contribution_is_struck_out(self, me, at, make_supporter):
        line = Contribution.objects.create(
            supporter=make_supporter("Zora"), day=dt.date(2026, 1, 2), amount=3
        )
        me.post(at("delete-contribution", line.pk))
        assert not Contribution.objects.exists()

    def test_found_by_name(self, me, at, make_supporter):
        make_supporter("Zora")
        make_supporter("Benno")
        body = me.get(at("supporters"), {"find": "zor"}).content.decode()
        assert "Zora" in body
        assert "Benno" not in body


class TestUpdates:
    def test_a_new_one_is_private(self, me, at, build):
        me.post(at("add-update"), {"title": "Told", "day": "2026-03-01", "text": "x"})
        assert Update.objects.get().title == "Told"
        assert not showing.shown_updates(build).exists()

    def test_shown_and_taken_back_by_a_click_each_with_undo(self, me, at, build, make_update):
        row = make_update()
        answer = me.post(at("show-update", row.pk), follow=True)
        assert showing.shown_updates(build).exists()
        assert f'action="{at("take-back-update", row.pk)}"' in answer.content.decode()
        me.post(at("take-back-update", row.pk))
        assert not showing.shown_updates(build).exists()

    def test_back_leads_inside_only(self, me, at, make_update):
        row = make_update()
        for back in ("https://elsewhere.example/", "//elsewhere.example", "javascript:x"):
            answer = me.post(at("show-update", row.pk), {"back": back})
            assert answer.url == at("update", row.pk)
        assert me.post(at("show-update", row.pk), {"back": at("updates")}).url == at("updates")

    def test_showing_wants_a_post(self, me, at, make_update):
        assert me.get(at("show-update", make_update().pk)).status_code == 405
        assert not Showing.objects.exists()

    def test_delete_asks_first(self, me, at, make_update):
        row = make_update()
        assert me.get(at("delete-update", row.pk)).status_code == 200
        assert Update.objects.exists()
        me.post(at("delete-update", row.pk))
        assert not Update.objects.exists()

    def test_photos_are_chosen_from_those_seen(self, me, at, make_update, make_photo):
        seen_in, seen_out, not_seen = make_photo(), make_photo(), make_photo()
        row = make_update(photos=[seen_out, not_seen])
        me.post(
            at("update-photos", row.pk),
            {"seen": [seen_in.pk, seen_out.pk], "photo": [seen_in.pk]},
        )
        assert set(row.photos.all()) == {seen_in, not_seen}

    def test_photos_of_another_build_cannot_be_chosen(
        self, me, at, make_update, make_photo, stranger
    ):
        row, photo = make_update(), make_photo()
        photo.build = stranger.crew_of.get().build
        photo.save()
        me.post(at("update-photos", row.pk), {"seen": [photo.pk], "photo": [photo.pk]})
        assert not row.photos.exists()

    @pytest.mark.parametrize("junk", ["x", "", "-1", "9" * 30])
    def test_junk_is_no_error(self, me, at, make_update, junk):
        answer = me.post(at("update-photos", make_update().pk), {"seen": [junk], "photo": [junk]})
        assert answer.status_code == 302


class TestPhotosShown:
    def test_shown_and_taken_back(self, me, at, build, make_photo):
        photo = make_photo()
        me.post(at("show-photo", photo.pk))
        assert showing.photos_outside(build).exists()
        me.post(at("take-back-photo", photo.pk))
        assert not showing.photos_outside(build).exists()

    def test_by_stage(self, me, at, stage, make_photo):
        make_photo("In frames", stage=stage)
        make_photo("Elsewhere")
        body = me.get(at("shown-photos"), {"stage": stage.pk}).content.decode()
        assert "In frames" in body
        assert "Elsewhere" not in body


class TestPublicPage:
    def test_is_off_and_unguessable_at_first(self, me, at):
        assert "Switched off" in me.get(at("public-page")).content.decode()
        page = PublicPage.objects.get()
        assert page.unguessable
        assert len(page.address) >= 22
        assert not showing.is_shown(page)

    def test_switch_on_and_off(self, me, at):
        me.post(at("switch-page-on"))
        page = PublicPage.objects.get()
        assert showing.is_shown(page)
        assert "Switched on" in me.get(at("public-page")).content.decode()
        me.post(at("switch-page-off"))
        assert not showing.is_shown(page)

    def test_settings_do_not_switch(self, me, at):
        me.post(at("public-page"), {"intro": "Hello", "shows_names": "on"})
        page = PublicPage.objects.get()
        assert (page.intro, page.shows_names, page.shows_tasks) == ("Hello", True, False)
        assert not showing.is_shown(page)

    def test_names_of_tasks_need_the_stages(self, me, at):
        answer = me.post(at("public-page"), {"shows_task_names": "on"})
        assert answer.status_code == 422
        assert "shows_tasks" in answer.context["form"].errors

    @pytest.mark.parametrize(
        ("typed", "address"), [("marlin", "marlin"), ("Our Boat!", "our-boat"), (" x-1 ", "x-1")]
    )
    def test_chosen_address(self, me, at, typed, address):
        me.post(at("new-address"), {"address": typed})
        page = PublicPage.objects.get()
        assert (page.address, page.unguessable) == (address, False)

    def test_empty_gives_one_nobody_can_guess(self, me, at, page):
        me.post(at("new-address"), {"address": "marlin"})
        me.post(at("new-address"), {"address": ""})
        page.refresh_from_db()
        assert page.unguessable
        assert len(page.address) >= 22

    @pytest.mark.parametrize("typed", ["ab", "ü", "!!!", "x" * 81])
    def test_bad_address_is_refused_and_the_old_stays(self, me, at, page, typed):
        answer = me.post(at("new-address"), {"address": typed})
        assert answer.status_code == 422
        assert "address" in answer.context["address_form"].errors
        before = page.address
        page.refresh_from_db()
        assert (page.address, page.unguessable) == (before, True)
        assert before in answer.content.decode()

    def test_taken_address_is_refused(self, me, at, page, stranger):
        other = stranger.crew_of.get().build
        PublicPage.objects.create(build=other, address="marlin")
        answer = me.post(at("new-address"), {"address": "Marlin"})
        assert "This address is taken." in answer.content.decode()


ONLY_OWNER = {
    "get": [
        ("supporters",), ("add-supporter",), ("supporter", "supporter"),
        ("delete-supporter", "supporter"), ("updates",), ("add-update",), ("update", "update"),
        ("delete-update", "update"), ("update-photos", "update"), ("shown-photos",),
        ("public-page",),
    ],
    "post": [
        ("add-supporter",), ("supporter", "supporter"), ("delete-supporter", "supporter"),
        ("add-contribution", "supporter"), ("delete-contribution", "line"), ("add-update",),
        ("update", "update"), ("delete-update", "update"), ("update-photos", "update"),
        ("show-update", "update"), ("take-back-update", "update"), ("show-photo", "photo"),
        ("take-back-photo", "photo"), ("public-page",), ("new-address",), ("switch-page-on",),
        ("switch-page-off",),
    ],
}  # fmt: skip


@pytest.fixture
def things(make_supporter, make_update, make_photo):
    supporter = make_supporter("Zora")
    line = Contribution.objects.create(supporter=supporter, day=dt.date(2026, 1, 2), amount=3)
    return {
        "supporter": supporter, "line": line, "update": make_update(), "photo": make_photo(),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("method", "name"), [(method, name) for method in ONLY_OWNER for name in ONLY_OWNER[method]]
)
def test_only_the_owner_may(
    as_person, owner, planner, hand, onlooker, stranger, at, things, method, name
):
    page = at(name[0], *[things[kind].pk for kind in name[1:]])
    for person in (planner, hand, onlooker):
        assert getattr(as_person(person), method)(page).status_code == 403
    assert getattr(as_person(stranger), method)(page).status_code == 404
    assert getattr(Client(), method)(page).url.startswith("/sign-in/")
    assert not Showing.objects.exists()
    for kind, thing in things.items():
        assert type(thing).objects.filter(pk=thing.pk).exists(), kind


@pytest.mark.parametrize(
    ("method", "name"),
    [(method, name) for method in ONLY_OWNER for name in ONLY_OWNER[method] if len(name) > 1],
)
def test_a_row_of_another_build_is_not_found(as_person, stranger, things, method, name):
    """The stranger owns a build: rows of ours cannot be reached through it."""
    page = reverse(name[0], args=["other", things[name[1]].pk])
    assert getattr(as_person(stranger), method)(page).status_code == 404


def test_query_counts_do_not_grow(me, at, make_supporter, make_update, make_photo, owner):
    counts = []
    page = make_update("Page")
    for start, end in ((0, 3), (3, 30)):
        for n in range(start, end):
            person = make_supporter(f"s{n}")
            Contribution.objects.create(supporter=person, day=dt.date(2026, 1, 2), amount=3)
            photo = make_photo()
            row = make_update(f"u{n}", photos=[photo])
            page.photos.add(photo)
            for thing in (photo, row):
                showing.show(thing, owner, dt.datetime(2026, 3, 1, n % 24, tzinfo=dt.UTC))
        found = {}
        for name in (
            ("supporters",), ("supporter", person.pk), ("updates",), ("update", page.pk),
            ("update-photos", page.pk), ("shown-photos",), ("public-page",),
        ):  # fmt: skip
            me.get(at(*name))
            with CaptureQueriesContext(connection) as queries:
                me.get(at(*name))
            found[name[0]] = len(queries)
        counts.append(found)
    assert counts[0] == counts[1]
