"""What the acts of `tasks.acts` do beside in stock; page and endpoint call the same."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from django.db import transaction

from buildlog.materials.using import Use, put_back, record_use, use_for
from tasks import acts
from tasks.acts import CannotDo
from tasks.models import Act, ActKind, Build, Person

__all__ = ["confirm_use", "proposed_use", "undo"]


def proposed_use(act: Act) -> list[Use]:
    """What the finish should take from stock; nothing where it was confirmed or undone."""
    if act.kind != ActKind.FINISH or act.undone_at or act.before.get("uses_said"):
        return []
    return use_for(act.task)


@transaction.atomic
def confirm_use(act: Act, uses: Iterable[Use], person: Person) -> None:
    """Take what a finish used from stock. Said twice, it is taken once.

    Raises CannotDo where the finish was undone meanwhile, or its use is confirmed already.
    """
    Build.objects.select_for_update().get(pk=act.build_id)
    fresh = Act.objects.select_related("task", "build").get(pk=act.pk)
    if fresh.undone_at:
        raise CannotDo(f"The finish of {fresh.task} was undone, so nothing was taken from stock.")
    if fresh.before.get("uses_said"):
        raise CannotDo(f"What {fresh.task} used is in the stock book already.")
    fresh.person = person
    record_use(fresh, uses)
    fresh.before["uses_said"] = True
    Act.objects.filter(pk=fresh.pk).update(before=fresh.before)


@transaction.atomic
def undo(act: Act, person: Person, now: dt.datetime) -> Act:
    """Undo an act; what a finish took from stock is given back."""
    undone = acts.undo(act, person, now)
    if undone.kind == ActKind.FINISH:
        put_back(undone)
    return undone
