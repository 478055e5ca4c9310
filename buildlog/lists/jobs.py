from __future__ import annotations

from typing import Any

from django.db import transaction

from buildlog.background.jobs import GiveUp, Job, kind
from buildlog.lists.bringing import CannotBring
from buildlog.lists.models import Upload
from buildlog.lists.reading import Refused
from buildlog.lists.uploads import write_looked_at


@kind("list-bring-in", says="Bringing in a list")
def bring_in(job: Job, upload: int, leave_out: bool, shown: str | None = None, **_: Any) -> None:
    """Write a long list. Done twice, it finds the list written and does nothing."""
    with transaction.atomic():
        rows = Upload.objects.select_for_update().select_related("build")
        row = rows.filter(pk=upload, written_at__isnull=True).first()
        if row is None or job.person is None:
            return
        try:
            write_looked_at(row, job.person, leave_out=leave_out, shown=shown)
        except (CannotBring, Refused) as error:
            raise GiveUp(f"{row.name}: {error}") from None
