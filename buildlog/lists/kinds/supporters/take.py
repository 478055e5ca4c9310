from __future__ import annotations

from collections.abc import Iterator, Mapping

from buildlog.lists.kinds.base import Value
from tasks.models import Build


def take(build: Build, money: bool) -> Iterator[Mapping[str, Value]]:
    """A row a gift, and one for each supporter who gave none."""
    for supporter in build.supporters.prefetch_related("contributions"):
        own: dict[str, Value] = {
            "name": supporter.name,
            "email": supporter.email,
            "since": supporter.since,
            "agreed": supporter.agreed,
            "shown_as": supporter.shown_as,
            "notes": supporter.notes,
        }
        gifts = sorted(supporter.contributions.all(), key=lambda gift: (gift.day, gift.pk))
        for gift in gifts:
            yield own | {"day": gift.day, "amount": gift.amount, "what_for": gift.note}
        if not gifts:
            yield own
