"""The journal's queries that have names. Each belongs to one build: start from its rows."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from django.db import models
from django.db.models import Exists, OuterRef, Prefetch, Q
from django.utils import timezone

from tasks.models import Build, Person, Stage, Task

if TYPE_CHECKING:
    from buildlog.journal.models import Entry, Photo  # noqa: F401  named in the classes below

LIKELY_TASKS = 200
NEAR_TASKS = 12
STILL_NEAR = dt.timedelta(days=14)


class EntryQuerySet(models.QuerySet["Entry"]):
    def of_task(self, task: Task) -> EntryQuerySet:
        return self.filter(self._on(tasks=Q(task=task)))

    def of_stage(self, stage: Stage) -> EntryQuerySet:
        return self.filter(self._on(tasks=Q(task__stage=stage)))

    def by_person(self, person: Person) -> EntryQuerySet:
        """Written by the person, or with hours of theirs."""
        hours = self.model.work.through.objects.filter(entry=OuterRef("pk"), work__person=person)
        return self.filter(Q(author=person) | Exists(hours))

    def in_month(self, first: dt.date) -> EntryQuerySet:
        return self.filter(day__gte=first, day__lt=month_after(first))

    def saying(self, words: str) -> EntryQuerySet:
        """Every one of the words somewhere in the text, as a part of it."""
        for word in words.split():
            self = self.filter(text__icontains=word)
        return self

    def to_read(self) -> EntryQuerySet:
        """With all that a list of entries shows, in a fixed number of queries."""
        from buildlog.journal import models as journal

        photos = journal.Photo.objects.order_by("taken_at", "pk").prefetch_related(
            "renditions", "tasks"
        )
        return self.select_related("author").prefetch_related(
            "tasks", "work__task", "work__person", Prefetch("photos", queryset=photos)
        )

    def _on(self, tasks: Q) -> Exists:
        return Exists(self.model.tasks.through.objects.filter(tasks, entry=OuterRef("pk")))


class PhotoQuerySet(models.QuerySet["Photo"]):
    def of_task(self, task: Task) -> PhotoQuerySet:
        """Hung on the task, or in an entry of it."""
        return self._on(task=task)

    def of_stage(self, stage: Stage) -> PhotoQuerySet:
        """Of the stage itself, hung on a task of it, or in an entry of such a task."""
        return self._on(stage, task__stage=stage)

    def in_month(self, first: dt.date, zone: ZoneInfo) -> PhotoQuerySet:
        start, end = (
            dt.datetime.combine(day, dt.time(), zone) for day in (first, month_after(first))
        )
        return self.filter(taken_at__gte=start, taken_at__lt=end)

    def to_show(self) -> PhotoQuerySet:
        """With what a picture in a list needs, in a fixed number of queries."""
        return self.select_related("stage").prefetch_related("renditions", "tasks")

    def before(self, photo: Photo) -> PhotoQuerySet:
        """Taken earlier than `photo`, the nearest first."""
        earlier = Q(taken_at__lt=photo.taken_at) | Q(taken_at=photo.taken_at, pk__lt=photo.pk)
        return self.filter(earlier).order_by("-taken_at", "-pk")

    def after(self, photo: Photo) -> PhotoQuerySet:
        """Taken later than `photo`, the nearest first."""
        later = Q(taken_at__gt=photo.taken_at) | Q(taken_at=photo.taken_at, pk__gt=photo.pk)
        return self.filter(later).order_by("taken_at", "pk")

    def _on(self, stage: Stage | None = None, **of_task: object) -> PhotoQuerySet:
        from buildlog.journal import models as journal

        hung = self.model.tasks.through.objects.filter(**of_task).values("photo")
        entries = journal.Entry.tasks.through.objects.filter(**of_task).values("entry")
        found = Q(pk__in=hung) | Q(entry__in=entries)
        return self.filter(found | Q(stage=stage) if stage else found)


def month_after(first: dt.date) -> dt.date:
    return (first.replace(day=1) + dt.timedelta(days=32)).replace(day=1)


def likely_tasks(build: Build) -> models.QuerySet[Task]:
    """The tasks somebody is most likely to mean: in hand, then not begun, then lately finished."""
    in_hand = Q(started_at__isnull=False, finished_at__isnull=True)
    closeness = models.Case(
        models.When(in_hand, then=0), models.When(finished_at__isnull=True, then=1), default=2
    )
    tasks = build.tasks.select_related("stage").annotate(closeness=closeness)
    return tasks.order_by("closeness", "-finished_at", "stage__order", "order", "pk")[:LIKELY_TASKS]


def near_tasks(build: Build, now: dt.datetime | None = None) -> models.QuerySet[Task]:
    """The few tasks that today's note or photo is probably about: in hand, or just finished."""
    since = (now or timezone.now()) - STILL_NEAR
    near = Q(started_at__isnull=False, finished_at__isnull=True) | Q(finished_at__gte=since)
    return build.tasks.filter(near).order_by("finished_at", "-started_at", "pk")[:NEAR_TASKS]
