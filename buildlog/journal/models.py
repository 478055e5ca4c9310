from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse

from buildlog.files.models import StoredFile
from buildlog.journal.querysets import EntryQuerySet, PhotoQuerySet
from tasks.models import Build, Person, Stage, Task, Work
from tasks.models.limits import check_year


def celsius_field(label: str) -> models.DecimalField:
    return models.DecimalField(
        label,
        max_digits=5,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(-60), MaxValueValidator(90)],
    )


class Entry(models.Model):
    """A dated line of the log: the day of the work, and when it was typed."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="entries")
    day = models.DateField("day of the work", validators=[check_year])
    text = models.TextField(blank=True)
    tasks = models.ManyToManyField(Task, blank=True, related_name="entries")
    work = models.ManyToManyField(Work, blank=True, related_name="entries")
    air_c = celsius_field("air, °C")
    surface_c = celsius_field("surface, °C")
    humidity = models.DecimalField(
        "relative humidity, %", max_digits=5, decimal_places=2, null=True, blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(100)],
    )  # fmt: skip
    author = models.ForeignKey(
        Person, on_delete=models.SET_NULL, null=True, blank=True, related_name="entries"
    )
    key = models.CharField("sent-once key", max_length=64, blank=True, editable=False)
    version = models.PositiveIntegerField("times saved", default=0, editable=False)
    save_key = models.CharField("key of the last save", max_length=64, blank=True, editable=False)
    made_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)

    objects = EntryQuerySet.as_manager()

    class Meta:
        ordering = ["-day", "-pk"]
        verbose_name_plural = "entries"
        indexes = [models.Index(fields=["build", "-day", "-id"])]
        constraints = [
            models.UniqueConstraint(
                fields=["build", "key"], condition=~models.Q(key=""), name="entry_sent_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.day} {self.text[:40]}"

    def get_absolute_url(self) -> str:
        return reverse("log-entry", args=[self.build.slug, self.pk])

    @property
    def minutes(self) -> int:
        """All the hours it tells of, running clocks left out."""
        return sum(work.minutes or 0 for work in self.work.all())


class Photo(models.Model):
    """A photo. The original is a StoredFile; what is shown is a rendition without metadata."""

    class TakenFrom(models.TextChoices):
        CAMERA = "camera", "the camera"
        BUILDER = "builder", "the builder"
        UPLOAD = "upload", "when it came in"

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="photos")
    file = models.OneToOneField(StoredFile, on_delete=models.RESTRICT, related_name="photo")
    entry = models.ForeignKey(
        Entry, on_delete=models.SET_NULL, null=True, blank=True, related_name="photos"
    )
    stage = models.ForeignKey(
        Stage, on_delete=models.SET_NULL, null=True, blank=True, related_name="photos"
    )
    tasks = models.ManyToManyField(Task, blank=True, related_name="photos")
    caption = models.CharField(max_length=300, blank=True)
    taken_at = models.DateTimeField(validators=[check_year])
    taken_from = models.CharField(max_length=7, choices=TakenFrom)
    camera_at = models.DateTimeField("what the camera's clock said", null=True, blank=True)
    turned = models.PositiveSmallIntegerField("quarter turns clockwise, by the builder", default=0)
    width = models.PositiveIntegerField("width, upright")
    height = models.PositiveIntegerField("height, upright")
    person = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)

    objects = PhotoQuerySet.as_manager()

    class Meta:
        ordering = ["-taken_at", "-pk"]
        indexes = [models.Index(fields=["build", "-taken_at", "-id"])]

    def __str__(self) -> str:
        return self.caption or self.file.name

    def get_absolute_url(self) -> str:
        return reverse("photo", args=[self.build.slug, self.pk])

    @property
    def alt(self) -> str:
        """What it shows, in words, as well as is known."""
        if self.caption:
            return self.caption
        if tasks := self.tasks.all():
            return "Photo of " + ", ".join(task.name for task in tasks)
        return f"Photo of {self.stage}" if self.stage_id else "Photo without a caption"

    @property
    def is_ready(self) -> bool:
        """Are its renditions made? The smallest is the last to be."""
        return any(made.long_side == 320 for made in self.renditions.all())


class Rendition(models.Model):
    """An upright copy of a photo at one size, made by the program, without metadata."""

    photo = models.ForeignKey(Photo, on_delete=models.CASCADE, related_name="renditions")
    long_side = models.PositiveSmallIntegerField()
    path = models.CharField(max_length=160)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    size = models.PositiveIntegerField("bytes")
    sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ["long_side"]
        constraints = [
            models.UniqueConstraint(fields=["photo", "long_side"], name="rendition_once_a_size")
        ]

    def __str__(self) -> str:
        return self.path
