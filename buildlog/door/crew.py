"""Changes to a crew. A build is never left without an owner."""

from __future__ import annotations

import datetime as dt

from django.db import transaction

from buildlog.door.first import LinkGone
from buildlog.door.models import Invitation, hashed, new_token
from tasks import acts
from tasks.models import Build, Crew, Person, Role, Work

LAST_OWNER = "A build needs an owner. Make somebody else owner first."


class LastOwner(Exception):
    """It would leave the build without an owner."""

    def __init__(self) -> None:
        super().__init__(LAST_OWNER)


def _keep_an_owner(build: Build, without: Crew) -> None:
    # Two owners who leave at the same moment must wait for each other, or none would be left.
    Build.objects.select_for_update().get(pk=build.pk)
    others = Crew.objects.filter(build=build, role=Role.OWNER).exclude(pk=without.pk)
    if not others.exists():
        raise LastOwner


def _stop_clock(place: Crew, now: dt.datetime) -> None:
    """Log the hours of a clock that its person may no longer stop; it would run for ever."""
    clocks = Work.objects.filter(build=place.build, person=place.person, minutes=None)
    for clock in clocks.filter(task__isnull=False).select_related("task"):
        acts.stop(clock.task, place.person, now)


@transaction.atomic
def give_role(place: Crew, role: str, sees_money: bool, now: dt.datetime) -> None:
    """Change what somebody may do in the build. Raises LastOwner."""
    if role != Role.OWNER:
        _keep_an_owner(place.build, without=place)
    place.role, place.sees_money = role, sees_money
    place.save(update_fields=["role", "sees_money"])
    if not place.may("log"):
        _stop_clock(place, now)


@transaction.atomic
def take_from_crew(place: Crew, now: dt.datetime) -> None:
    """Take somebody off the crew; what they logged stays. Raises LastOwner."""
    _keep_an_owner(place.build, without=place)
    _stop_clock(place, now)
    place.delete()


def invite(
    build: Build, by: Person, *, role: str, sees_money: bool, note: str, until: dt.datetime
) -> tuple[Invitation, str]:
    """Make a one-time link into the crew. Gives the row and the token, which is kept nowhere."""
    token = new_token()
    invitation = Invitation.objects.create(
        build=build, made_by=by, role=role, sees_money=sees_money, note=note,
        expires_at=until, token_hash=hashed(token),
    )  # fmt: skip
    return invitation, token


@transaction.atomic
def join(invitation: Invitation, person: Person, now: dt.datetime) -> Crew:
    """Use an invitation: the person becomes crew. Raises LinkGone where somebody was quicker.

    Who is crew already stays what they are, and the link stays open for whom it was meant.
    """
    place = Crew.objects.filter(build=invitation.build, person=person).first()
    if place is not None:
        return place
    open_still = Invitation.objects.open(now).filter(pk=invitation.pk)
    if not open_still.update(used_at=now, used_by=person):
        raise LinkGone
    return Crew.objects.create(
        build=invitation.build, person=person,
        role=invitation.role, sees_money=invitation.sees_money,
    )  # fmt: skip
