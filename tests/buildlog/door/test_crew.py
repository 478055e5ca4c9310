from __future__ import annotations

import datetime as dt
import re

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from buildlog.door import crew as changes
from buildlog.door.first import LinkGone
from buildlog.door.models import Invitation
from tasks import acts
from tasks.models import Crew, Person, Role, Work


@pytest.fixture
def invited(build, owner):
    """An open invitation for a hand and its token."""
    return changes.invite(
        build, owner, role=Role.HAND, sees_money=True, note="Fay",
        until=timezone.now() + dt.timedelta(days=7),
    )  # fmt: skip


def at(name, build, *args):
    return reverse(name, args=[build.slug, *args])


def place_of(person):
    return Crew.objects.get(person=person)


class TestThePage:
    def test_shows_the_crew(self, as_person, owner, hand, build):
        text = as_person(owner).get(at("crew", build)).content.decode()
        assert "Olive" in text
        assert "Hanna" in text

    def test_the_others_see_who_is_on_board_and_no_more(
        self, as_person, owner, planner, hand, onlooker, stranger, build, invited
    ):
        for person in (planner, hand, onlooker):
            text = as_person(person).get(at("crew", build)).content.decode()
            assert "Olive" in text
            for word in ("olive", "Fay", "<select", at("invite", build)):
                assert word not in text.replace("Olive", "")
        assert as_person(stranger).get(at("crew", build)).status_code == 404
        assert Client().get(at("crew", build)).url.startswith("/sign-in/")

    def test_shows_open_links_only(self, as_person, owner, build, invited):
        Invitation.objects.create(
            build=build, note="Old", token_hash="o", expires_at=timezone.now()
        )
        text = as_person(owner).get(at("crew", build)).content.decode()
        assert "Fay" in text
        assert "Old" not in text

    def test_query_count_does_not_grow(
        self, as_person, owner, build, django_assert_max_num_queries
    ):
        from django.db import connection
        from django.test.utils import CaptureQueriesContext

        client = as_person(owner)
        counts = []
        for start, end in ((0, 3), (3, 30)):
            for n in range(start, end):
                person = Person.objects.create_user(f"p{n}")
                Crew.objects.create(build=build, person=person)
                changes.invite(
                    build, owner, role=Role.HAND, sees_money=False, note=f"n{n}",
                    until=timezone.now() + dt.timedelta(days=1),
                )  # fmt: skip
            with CaptureQueriesContext(
                connection,
            ) as queries:
                client.get(at("crew", build))
            counts.append(len(queries))
        assert counts[0] == counts[1]


class TestInviting:
    def test_gives_a_link_once_that_works(self, as_person, owner, build):
        client = as_person(owner)
        answer = client.post(
            at("invite", build), {"note": "Fay", "role": "planner", "sees_money": "on", "days": "7"}
        )
        link = re.search(r'value="http://testserver(/join/[^"]+)"', answer.content.decode())[1]
        assert "no-store" in answer["Cache-Control"]
        assert link not in client.get(at("crew", build)).content.decode()
        assert Client().get(link).status_code == 200
        row = Invitation.objects.get()
        assert (row.role, row.sees_money, row.made_by) == ("planner", True, owner)
        assert dt.timedelta(days=6) < row.expires_at - timezone.now() <= dt.timedelta(days=7)
        assert link.split("/")[2] not in str(Invitation.objects.values())

    def test_refuses_a_role_that_is_none(self, as_person, owner, build):
        answer = as_person(owner).post(at("invite", build), {"role": "captain", "days": "7"})
        assert answer.status_code == 422
        assert not Invitation.objects.exists()

    def test_withdrawn_link_is_gone(self, as_person, owner, build, invited):
        invitation, token = invited
        as_person(owner).post(at("withdraw", build, invitation.pk))
        assert Client().get(reverse("join", args=[token])).status_code == 404

    def test_another_builds_invitation_cannot_be_withdrawn(self, as_person, stranger, invited):
        other = stranger.crew_of.get().build
        as_person(stranger).post(at("withdraw", other, invited[0].pk))
        assert Invitation.objects.count() == 1


class TestJoining:
    def test_makes_an_account_and_joins(self, client, build, invited, account_data):
        answer = client.post(reverse("join", args=[invited[1]]), account_data())
        assert answer.url == reverse("bench", args=[build.slug])
        place = Crew.objects.get(person__username="nell")
        assert (place.build, place.role, place.sees_money) == (build, Role.HAND, True)
        assert client.get(answer.url).status_code == 200

    def test_joins_as_who_is_signed_in(self, as_person, stranger, build, invited):
        client = as_person(stranger)
        text = client.get(reverse("join", args=[invited[1]])).content.decode()
        assert "Join as Stella" in text
        client.post(reverse("join", args=[invited[1]]))
        assert Crew.objects.get(person=stranger, build=build).role == Role.HAND
        assert Person.objects.count() == 2

    def test_offers_sign_in_that_comes_back(self, client, invited):
        page = reverse("join", args=[invited[1]])
        assert f"/sign-in/?next={page}" in client.get(page).content.decode()

    def test_works_once(self, invited, account_data):
        page = reverse("join", args=[invited[1]])
        Client().post(page, account_data())
        second = Client().post(page, account_data(username="late"))
        assert second.status_code == 404
        assert not Person.objects.filter(username="late").exists()

    def test_a_second_click_leads_in(self, client, build, invited, account_data):
        page = reverse("join", args=[invited[1]])
        client.post(page, account_data())
        assert client.post(page, account_data()).url == reverse("bench", args=[build.slug])

    def test_race_leaves_no_account_without_a_place(
        self, client, monkeypatch, invited, account_data
    ):
        """Somebody uses the link between this one's look and click."""

        def taken(*args):
            raise LinkGone

        monkeypatch.setattr(changes, "join", taken)
        answer = client.post(reverse("join", args=[invited[1]]), account_data())
        assert answer.status_code == 404
        assert not Person.objects.filter(username="nell").exists()

    def test_join_twice_from_one_stale_row_lets_one_in(self, invited, db):
        stale = Invitation.objects.get(pk=invited[0].pk)
        changes.join(invited[0], Person.objects.create_user("one"), timezone.now())
        with pytest.raises(LinkGone):
            changes.join(stale, Person.objects.create_user("two"), timezone.now())

    def test_ends_with_its_time(self, client, build, owner, account_data):
        with time_machine.travel("2026-03-07 10:00:00+00:00", tick=False) as clock:
            _, token = changes.invite(
                build, owner, role=Role.HAND, sees_money=False, note="",
                until=timezone.now() + dt.timedelta(days=1),
            )  # fmt: skip
            clock.shift(dt.timedelta(days=1))
            page = reverse("join", args=[token])
            assert client.get(page).status_code == 404
            assert client.post(page, account_data()).status_code == 404

    def test_crew_already_stay_what_they_are(self, as_person, owner, invited):
        as_person(owner).post(reverse("join", args=[invited[1]]))
        assert place_of(owner).role == Role.OWNER
        assert Invitation.objects.get().used_at is None

    def test_a_name_in_use_is_refused_whatever_its_capitals(self, client, invited, account_data):
        answer = client.post(reverse("join", args=[invited[1]]), account_data(username="OLIVE"))
        assert "Somebody signs in with this name already." in answer.content.decode()
        assert Invitation.objects.get().used_at is None

    def test_says_nothing_of_the_build_to_a_wrong_token(self, client, build, invited):
        answer = client.get(reverse("join", args=["wrong"]))
        assert answer.status_code == 404
        assert build.name not in answer.content.decode()


class TestRoles:
    def test_owner_changes_a_role(self, as_person, owner, hand, build):
        place = place_of(hand)
        as_person(owner).post(at("change-place", build, place.pk), {f"p{place.pk}-role": "planner"})
        assert place_of(hand).role == "planner"

    def test_bad_role_changes_nothing(self, as_person, owner, hand, build):
        place = place_of(hand)
        answer = as_person(owner).post(
            at("change-place", build, place.pk), {f"p{place.pk}-role": "captain"}, follow=True
        )
        assert "choose what they may do" in answer.content.decode()
        assert place_of(hand).role == Role.HAND

    @pytest.mark.parametrize("how", ["change-place", "remove-from-crew", "leave-crew"])
    def test_last_owner_stays(self, as_person, owner, hand, build, how):
        place = place_of(owner)
        args = [] if how == "leave-crew" else [place.pk]
        answer = as_person(owner).post(
            at(how, build, *args), {f"p{place.pk}-role": "hand"}, follow=True
        )
        assert changes.LAST_OWNER in answer.content.decode()
        assert place_of(owner).role == Role.OWNER

    def test_of_two_owners_one_may_leave(self, as_person, owner, planner, build):
        changes.give_role(place_of(planner), Role.OWNER, False, timezone.now())
        answer = as_person(owner).post(at("leave-crew", build))
        assert answer.url == reverse("me")
        assert not Crew.objects.filter(person=owner).exists()
        with pytest.raises(changes.LastOwner):
            changes.take_from_crew(place_of(planner), timezone.now())

    def test_a_hand_may_leave_and_then_sees_nothing(self, as_person, owner, hand, build):
        client = as_person(hand)
        client.post(at("leave-crew", build))
        assert client.get(at("bench", build)).status_code == 404

    def test_removed_is_out_at_once(self, as_person, owner, hand, build):
        client = as_person(hand)
        as_person(owner).post(at("remove-from-crew", build, place_of(hand).pk))
        assert client.get(at("bench", build)).status_code == 404

    @pytest.mark.parametrize("how", ["change-place", "remove-from-crew", "leave-crew"])
    def test_clock_of_who_may_no_longer_log_is_stopped_and_its_hours_kept(
        self, as_person, owner, hand, build, make_task, how
    ):
        acts.start(make_task("1"), hand, timezone.now() - dt.timedelta(hours=2))
        place = place_of(hand)
        args = [] if how == "leave-crew" else [place.pk]
        client = as_person(hand if how == "leave-crew" else owner)
        client.post(at(how, build, *args), {f"p{place.pk}-role": "onlooker"})
        assert Work.objects.get().minutes == 120

    def test_another_builds_place_is_not_found(self, as_person, owner, stranger, build):
        place = place_of(stranger)
        client = as_person(owner)
        for name in ("change-place", "remove-from-crew"):
            answer = client.post(at(name, build, place.pk), {f"p{place.pk}-role": "hand"})
            assert answer.status_code == 404
        assert place_of(stranger).role == Role.OWNER


@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.parametrize("name", ["invite", "withdraw", "change-place", "remove-from-crew"])
def test_only_the_owner_comes_in(
    as_person, owner, planner, hand, onlooker, stranger, build, invited, name, method
):
    pk = {"withdraw": invited[0].pk, "invite": None}.get(name, place_of(planner).pk)
    page = at(name, build, *([pk] if pk else []))
    wrong_method = method == "get"
    for person in (planner, hand, onlooker):
        assert getattr(as_person(person), method)(page).status_code == (
            405 if wrong_method else 403
        )
    assert getattr(as_person(stranger), method)(page).status_code == (405 if wrong_method else 404)
    if not wrong_method:
        assert getattr(Client(), method)(page).url.startswith("/sign-in/")
    assert Crew.objects.filter(build=build).count() == 4
    assert Invitation.objects.count() == 1
