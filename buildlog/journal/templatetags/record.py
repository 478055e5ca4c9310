"""What other rooms' pages show of the record: `{% load record %}{% entries_of task as found %}`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import template

from buildlog.journal.entry_views import new_key
from buildlog.journal.models import Entry, Photo
from tasks.models import Task

register = template.Library()

ENTRIES_BESIDE = 5
PHOTOS_BESIDE = 8


@dataclass(frozen=True)
class Beside:
    """The newest few of what belongs to a task, and how many there are in all."""

    rows: Sequence[Any]
    count: int

    @property
    def more(self) -> bool:
        return self.count > len(self.rows)


@register.simple_tag
def entries_of(task: Task) -> Beside:
    """Two queries, however many there are."""
    entries = Entry.objects.filter(build=task.build_id).of_task(task)
    rows = entries.select_related("author", "build")[:ENTRIES_BESIDE]
    return Beside(list(rows), entries.count())


@register.simple_tag
def photos_of(task: Task) -> Beside:
    """Four queries, however many there are."""
    photos = Photo.objects.filter(build=task.build_id).of_task(task)
    rows = photos.to_show().select_related("build")[:PHOTOS_BESIDE]
    return Beside(list(rows), photos.count())


@register.simple_tag
def sent_once_key() -> str:
    return new_key()
