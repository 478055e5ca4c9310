from __future__ import annotations

import datetime as dt

from django.db import models
from django.urls import reverse
from django.utils import timezone

from buildlog.lists.answers import Answers
from buildlog.lists.kinds import KINDS, Kind
from tasks.models import Build, Person

KEPT_FOR = dt.timedelta(days=30)


class UploadQuerySet(models.QuerySet["Upload"]):
    def waiting(self) -> UploadQuerySet:
        """Those that were looked at and neither brought in nor thrown away, newest first."""
        return self.filter(written_at__isnull=True).order_by("-changed_at")

    def old(self, now: dt.datetime) -> UploadQuerySet:
        """Those that nobody has touched for a month."""
        return self.filter(changed_at__lt=now - KEPT_FOR)

    def like(self, upload: Upload) -> UploadQuerySet:
        """Lists of the same kind with the same headings that were brought in, newest first."""
        done = self.filter(build=upload.build, kind=upload.kind, written_at__isnull=False)
        return done.filter(headings=upload.headings).order_by("-written_at")


class Upload(models.Model):
    """A list on its way in: the file, kept as it came until it is brought in, and what was said.

    Once it is in, the file goes and what was said stays, so that the next list with the same
    headings need not be explained again.
    """

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="uploads")
    person = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    kind = models.CharField(max_length=20, choices=[(k.key, k.title) for k in KINDS.values()])
    name = models.CharField("name of the file", max_length=200)
    content = models.BinaryField()
    headings = models.TextField(blank=True)
    stored_answers = models.JSONField("what was said about it", default=dict)
    made_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)
    written_at = models.DateTimeField("brought in", null=True, blank=True)
    result = models.JSONField("what it did", default=dict)

    objects = UploadQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("list-look", args=[self.build.slug, self.pk])

    @property
    def of(self) -> Kind:
        return KINDS[self.kind]

    @property
    def answers(self) -> Answers:
        return Answers.from_json(self.stored_answers)

    @answers.setter
    def answers(self, answers: Answers) -> None:
        self.stored_answers = answers.to_json()

    @classmethod
    def throw_old_away(cls) -> None:
        cls.objects.old(timezone.now()).delete()
