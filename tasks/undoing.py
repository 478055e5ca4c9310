"""Taking back one change of the plan, while nothing else has changed what it changed.

What a change was is signed and goes with the message that tells of it; nothing is stored. It can
be taken back within `KEEP` and only once, since afterwards the row is no longer as it was left.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from typing import Any

from django.core import signing
from django.core.exceptions import ValidationError
from django.db import models
from django.urls import reverse

from tasks.changes import alone_on
from tasks.models import Build, Link, Task

__all__ = ["CannotUndo", "Kept", "kept", "take_back", "undo_tag"]

KEEP = dt.timedelta(hours=2)
SALT = "a change of the plan"
ROWS: dict[str, type[models.Model]] = {"task": Task, "link": Link}
#: Values of some fields of a row, as text.
Kept = dict[str, str | None]


class CannotUndo(Exception):
    """A change that is not taken back; the message says why and what to do."""

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


def kept(row: models.Model, names: Iterable[str] | None = None) -> Kept:
    """What a row holds now, of some of its fields or of all but its number."""
    fields = row._meta.concrete_fields
    chosen = [one for one in fields if not one.primary_key] if names is None else None
    chosen = chosen or [one for one in fields if one.name in set(names or ())]
    return {
        one.name: None if one.value_from_object(row) is None else one.value_to_string(row)
        for one in chosen
    }


def undo_tag(row: models.Model, before: Kept | None, after: Kept | None, page: str) -> str:
    """What a message carries so that it shows a button that takes the change back.

    Parameters
    ----------
    row
        A task or a link, of a build, with its number even if it was deleted.
    before, after
        What it held; None where it was not there, or is not any more.
    page
        Name of the page of the build to go back to.
    """
    build = row.build  # type: ignore[attr-defined]
    before, after = _changed(before, after)
    if before == after:
        return ""
    said = [build.pk, row._meta.model_name, row.pk, before, after, page]
    token = signing.dumps(said, salt=SALT, compress=True)
    return f"undo={reverse('undo-change', args=[build.slug, token])}"


def _changed(before: Kept | None, after: Kept | None) -> tuple[Kept | None, Kept | None]:
    """Only what differs, of a row that is there before and after."""
    if before is None or after is None:
        return before, after
    names = [name for name in after if before.get(name) != after[name]]
    return {name: before[name] for name in names}, {name: after[name] for name in names}


def take_back(build: Build, token: str) -> tuple[str, str]:
    """Put a row back as it was before a change. Gives what to say, and the page to go to.

    Raises CannotUndo if the time is over, or the row was changed since.
    """
    try:
        said = signing.loads(token, salt=SALT, max_age=KEEP)
        owner, model, pk, before, after, page = said
    except signing.SignatureExpired:
        raise CannotUndo("That was too long ago to be taken back with one click.") from None
    except (signing.BadSignature, ValueError, TypeError):
        raise CannotUndo("This cannot be taken back: the address is not whole.") from None
    if owner != build.pk:
        raise CannotUndo("This cannot be taken back: it belongs to another build.")
    with alone_on(build) as fresh:
        try:
            words = _put_back(fresh, ROWS[model], pk, before, after)
        except ValidationError as wrong:
            why = " ".join(wrong.messages)
            raise CannotUndo(f"This cannot be taken back any more: {why}") from None
    return words, page


def _put_back(
    build: Build, model: type[models.Model], pk: int, before: Kept | None, after: Kept | None
) -> str:
    row = model._default_manager.filter(build=build, pk=pk).first()
    if after is None:
        if row is not None or before is None:
            raise CannotUndo("It is there again already.")
        row = model(pk=pk, build=build)
        _fill(row, before)
        row.full_clean()
        row.save(force_insert=True)
        return f"Put back: {_named(row)}."
    if row is None:
        raise CannotUndo("It is not there any more: somebody has deleted it.")
    if kept(row, after) != after:
        raise CannotUndo(f"{_named(row)} was changed again since. Change it by hand.")
    if before is None:
        words = f"Taken back: {_named(row)}."
        row.delete()
        return words
    _fill(row, before)
    row.full_clean()
    row.save(update_fields=list(before))
    return f"{_named(row)} is as it was before."


def _fill(row: models.Model, values: Mapping[str, str | None]) -> None:
    for field in row._meta.concrete_fields:
        if field.name in values and field.name != "build":
            text = values[field.name]
            value: Any = None if text is None else field.to_python(text)
            setattr(row, field.attname, value)


def _named(row: models.Model) -> str:
    if isinstance(row, Link):
        return f"{row.after} waits for {row.before}"
    return str(row)
