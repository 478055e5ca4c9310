"""Making, finding and revoking the private address of a calendar."""

from __future__ import annotations

import datetime as dt

from django.db.models import Q
from django.utils import timezone

from buildlog.along.models import CalendarAddress
from buildlog.door.models import hashed, new_token
from tasks.models import Crew

__all__ = ["address_of", "find_address", "note_reading", "renew_address", "revoke_address"]

#: Calendar programs ask often; that they did is not written at each call.
NOTE_READING_EVERY = dt.timedelta(hours=1)


def address_of(crew: Crew) -> CalendarAddress | None:
    return CalendarAddress.objects.filter(crew=crew).first()


def renew_address(crew: Crew) -> tuple[CalendarAddress, str]:
    """Make an address, or put a new one in the place of the old, which stops working at once.

    Gives the row and the token itself, which is kept nowhere.
    """
    token = new_token()
    row, _ = CalendarAddress.objects.update_or_create(
        crew=crew,
        defaults={
            "token_hash": hashed(token),
            "made_at": timezone.now(),
            "last_read_at": None,
        },
    )
    return row, token


def revoke_address(crew: Crew) -> bool:
    """Let the address stop working; False if there is none."""
    deleted, _ = CalendarAddress.objects.filter(crew=crew).delete()
    return bool(deleted)


def find_address(token: str) -> CalendarAddress | None:
    """The address with that token, with the place in the crew, the person and the build."""
    row = (
        CalendarAddress.objects.select_related("crew__build", "crew__person")
        .filter(token_hash=hashed(token), crew__person__is_active=True)
        .first()
    )
    return row if row is not None and row.crew.may("look") else None


def note_reading(address: CalendarAddress) -> None:
    """Keep when the address was last read, to the hour."""
    now = timezone.now()
    if address.last_read_at is None or address.last_read_at < now - NOTE_READING_EVERY:
        stale = Q(last_read_at=None) | Q(last_read_at__lt=now - NOTE_READING_EVERY)
        CalendarAddress.objects.filter(stale, pk=address.pk).update(last_read_at=now)
