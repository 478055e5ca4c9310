"""The first run: a one-time link by which the owner's account is made."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

from django.contrib.auth.hashers import UNUSABLE_PASSWORD_PREFIX
from django.db import transaction
from django.db.models import Exists, OuterRef

from buildlog.door.models import FirstLink, hashed, new_token
from tasks.models import Build, Crew, Person, Role


class LinkGone(Exception):
    """The link is not known, was used, or its time is over."""


def anybody_can_sign_in() -> bool:
    """Is there an account already? People without a password (a demo's crew) do not count."""
    with_password = Person.objects.exclude(password="").exclude(
        password__startswith=UNUSABLE_PASSWORD_PREFIX
    )
    return with_password.filter(is_active=True).exists()


@transaction.atomic
def open_first_link() -> str | None:
    """Make a new first-run link and give its token; None when accounts exist.

    Links made earlier and not used stop working.
    """
    if anybody_can_sign_in():
        return None
    FirstLink.objects.filter(used_at=None).delete()
    token = new_token()
    FirstLink.objects.create(token_hash=hashed(token))
    return token


def first_link_works(token: str) -> bool:
    return FirstLink.objects.open(token).exists() and not anybody_can_sign_in()


@transaction.atomic
def use_first_link(token: str, make_person: Callable[[], Person], now: dt.datetime) -> Person:
    """Make the owner's account, once, and give it the builds that have no owner.

    Raises LinkGone, and makes nothing, when somebody was quicker.
    """
    # The row of the link is what two callers race for: only one of them changes it.
    if not FirstLink.objects.open(token).update(used_at=now) or anybody_can_sign_in():
        raise LinkGone
    person = make_person()
    adopt_ownerless(person)
    return person


@transaction.atomic
def adopt_ownerless(person: Person) -> int:
    """Make the person owner of every build without one. Gives how many."""
    owners = Crew.objects.filter(build=OuterRef("pk"), role=Role.OWNER)
    builds = list(Build.objects.filter(~Exists(owners)))
    for build in builds:
        Crew.objects.update_or_create(build=build, person=person, defaults={"role": Role.OWNER})
    return len(builds)
