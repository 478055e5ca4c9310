from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from buildlog.journal.fields import (
    ManyFiles,
    ManyFilesField,
    MomentField,
    TaskCodesField,
    TasksMixin,
)
from buildlog.journal.intake import Place
from buildlog.journal.models import Entry, Photo
from buildlog.journal.picture import PICTURE_TYPES
from buildlog.journal.querysets import PhotoQuerySet
from tasks.models import Build, Task

NEAR_DAYS = dt.timedelta(days=4)
MOST_ENTRIES = 30


def photos_field(**options: Any) -> ManyFilesField:
    types = ",".join([*PICTURE_TYPES, "image/heif", ".heic", ".heif"])
    return ManyFilesField(label="Photos", widget=ManyFiles(attrs={"accept": types}), **options)


class PlaceForm(TasksMixin, forms.Form):
    """Where photos belong: a stage, tasks."""

    stage = forms.ModelChoiceField(None, required=False, empty_label="as its tasks say")

    def __init__(self, *args: Any, build: Build, tasks: list[Task] | None = None, **kwargs: Any):
        super().__init__(*args, **kwargs)
        self.fields["stage"].queryset = build.stages.all()
        self.add_tasks(build, tasks or [])
        self.order_fields(["near", "more", "stage"])

    def place(self, entry: Entry | None = None) -> Place:
        return Place(self.cleaned_data["stage"], tuple(self.chosen_tasks()), entry)


class PhotoForm(TasksMixin, forms.ModelForm):
    """A photo's words, time and place. Only what was changed on this page is written."""

    taken_at = MomentField(label="Taken", show_hidden_initial=True)

    class Meta:
        model = Photo
        fields = ["caption", "taken_at", "stage", "entry"]
        help_texts = {"caption": "What it shows. It is also read to those who cannot see it."}

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        photo = self.instance
        self.fields["taken_at"].help_text = "By the clock of the build. " + said_by(photo)
        self.fields["stage"].queryset = build.stages.all()
        self.fields["stage"].empty_label = "as its tasks say"
        self.fields["entry"].queryset = build.entries.all()
        self.fields["entry"].choices = entries_near(photo)
        self.fields["entry"].label = "Log entry"
        self.add_tasks(build, photo.tasks.all())
        for name in ("caption", "stage", "entry"):
            self.fields[name].show_hidden_initial = True
        self.order_fields(["caption", "near", "more", "stage", "entry", "taken_at"])

    def save(self, commit: bool = True) -> Photo:
        photo = self.instance
        changed = [name for name in self.changed_data if name in self._meta.fields]
        if "taken_at" in changed:
            same = photo.taken_at == photo.camera_at
            photo.taken_from = Photo.TakenFrom.CAMERA if same else Photo.TakenFrom.BUILDER
            changed.append("taken_from")
        if changed:
            photo.save(update_fields=changed)
        photo.tasks.set(self.chosen_tasks())
        return photo


def said_by(photo: Photo) -> str:
    """Whose clock the time is, for people."""
    if photo.camera_at and photo.camera_at != photo.taken_at:
        camera = timezone.localtime(photo.camera_at)
        return f"The camera said {camera:%Y-%m-%d %H:%M:%S}."
    return {
        Photo.TakenFrom.CAMERA: "The camera said so.",
        Photo.TakenFrom.BUILDER: "It was set by hand.",
        Photo.TakenFrom.UPLOAD: "The camera wrote no time: this is when the photo came in.",
    }[Photo.TakenFrom(photo.taken_from)]


def entries_near(photo: Photo) -> list[tuple[Any, str]]:
    """The log entries of the days around a photo, and the one it is in."""
    day = timezone.localtime(photo.taken_at).date()
    near = Entry.objects.filter(
        build=photo.build_id, day__range=(day - NEAR_DAYS, day + NEAR_DAYS)
    ).order_by("day", "pk")[:MOST_ENTRIES]
    entries = {entry.pk: entry for entry in near}
    if photo.entry_id and photo.entry_id not in entries:
        entries[photo.entry_id] = photo.entry
    return [("", "none"), *((entry.pk, str(entry)) for entry in entries.values())]


class GalleryFilter(forms.Form):
    """Which photos of the build to look at."""

    stage = forms.ModelChoiceField(None, required=False, empty_label="all stages")
    task = TaskCodesField(one=True, label="Task number")
    month = forms.ChoiceField(required=False)

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.build = build
        self.fields["stage"].queryset = build.stages.all()
        self.fields["task"].build = build
        self.fields["month"].choices = months_of(build)

    def photos(self) -> PhotoQuerySet:
        """What was asked for; where it was asked badly, all of that kind."""
        photos = self.build.photos.all()
        asked = self.cleaned_data if self.is_valid() else getattr(self, "cleaned_data", {})
        if stage := asked.get("stage"):
            photos = photos.of_stage(stage)
        if task := asked.get("task"):
            photos = photos.of_task(task)
        if month := asked.get("month"):
            photos = photos.in_month(dt.date.fromisoformat(f"{month}-01"), self.build.zone)
        return photos


def months_of(build: Build) -> list[tuple[str, str]]:
    """Every month from the first photo to the last, the newest first."""
    photos = build.photos.order_by("taken_at").values_list("taken_at", flat=True)
    first, last = photos.first(), photos.last()
    choices = [("", "all months")]
    if first is None or last is None:
        return choices
    year, month = _local_month(last, build)
    start = _local_month(first, build)
    while (year, month) >= start and len(choices) < 600:
        choices.append((f"{year:04}-{month:02}", f"{dt.date(year, month, 1):%B %Y}"))
        year, month = (year, month - 1) if month > 1 else (year - 1, 12)
    return choices


def _local_month(moment: dt.datetime, build: Build) -> tuple[int, int]:
    local = moment.astimezone(build.zone)
    return local.year, local.month


class ShiftForm(forms.Form):
    """Correct a camera's clock: say when the first photo was really taken; all move alike."""

    photos = forms.CharField(widget=forms.HiddenInput)
    first_at = MomentField(widget=forms.HiddenInput)
    really_at = MomentField(
        label="The first of them was really taken",
        help_text="All of them move by the same time. The originals stay as they are.",
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not self.errors and data["really_at"] == data["first_at"].replace(microsecond=0):
            raise ValidationError("That is the time it has already.")
        return data

    @property
    def by(self) -> dt.timedelta:
        return self.cleaned_data["really_at"] - self.cleaned_data["first_at"].replace(microsecond=0)
