"""Form fields of the record: tasks by their number, moments by the build's clock, many files."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.dateparse import parse_datetime

from buildlog.journal.querysets import near_tasks
from tasks.hours import NotHours, read_hours, show_hours
from tasks.models import Build, Task


class TaskCodesField(forms.CharField):
    """Tasks by their numbers, as on the plan. The form gives it its `build`."""

    build: Build

    def __init__(self, *, one: bool = False, **options: Any) -> None:
        super().__init__(required=False, max_length=300, **options)
        self.one = one
        self.widget.attrs.setdefault("autocomplete", "off")
        if one:
            self.widget.attrs.setdefault("list", "task-numbers")

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        codes = [text] if self.one else text.split(",")
        tasks = find_tasks(self.build, [code.strip() for code in codes if code.strip()])
        return (tasks[0] if tasks else None) if self.one else tasks


def find_tasks(build: Build, codes: list[str]) -> list[Task]:
    """The tasks of these numbers. Raises ValidationError naming the first that there is not."""
    if not codes:
        return []
    found = {task.code: task for task in build.tasks.filter(code__in=codes)}
    if missing := [code for code in codes if code not in found]:
        raise ValidationError(
            f"There is no task {missing[0]} in this build. Use the numbers on the plan."
        )
    return [found[code] for code in dict.fromkeys(codes)]


class TasksMixin:
    """Gives a form its tasks: boxes for the likely ones, and a line for any others by number.

    Read them with `chosen_tasks()` once the form is valid.
    """

    fields: dict[str, forms.Field]
    cleaned_data: dict[str, Any]
    data: Any
    is_bound: bool

    def add_tasks(self, build: Build, chosen: Iterable[Task] = ()) -> None:
        near = list(near_tasks(build))
        chosen = [*chosen, *self._ticked(build)]
        boxes = {task.pk: task for task in [*near, *chosen]}
        ticks = forms.ModelMultipleChoiceField(
            build.tasks.all(),
            label="Tasks",
            required=False,
            widget=forms.CheckboxSelectMultiple,
            initial=[task.pk for task in chosen],
        )
        ticks.choices = [(task.pk, str(task)) for task in boxes.values()]
        if boxes:
            self.fields["near"] = ticks
        more = TaskCodesField(
            label="Other tasks, by number" if boxes else "Tasks, by number",
            help_text="As on the plan; several with commas between.",
        )
        more.build = build
        self.fields["more"] = more

    def _ticked(self, build: Build) -> list[Task]:
        """What was ticked in the form as sent, so that a box does not vanish from under it."""
        if not self.is_bound or not hasattr(self.data, "getlist"):
            return []
        numbers = [int(n) for n in self.data.getlist("near") if n.isdecimal() and len(n) < 19]
        return list(build.tasks.filter(pk__in=numbers)) if numbers else []

    def chosen_tasks(self) -> list[Task]:
        tasks = [*self.cleaned_data.get("near", []), *self.cleaned_data.get("more", [])]
        return list(dict.fromkeys(tasks))


class HoursField(forms.CharField):
    """Hours as a builder writes them; minutes come out."""

    def __init__(self, **options: Any) -> None:
        super().__init__(max_length=20, **options)

    def clean(self, value: Any) -> int | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            return read_hours(text)
        except NotHours as error:
            raise ValidationError(str(error)) from error

    def prepare_value(self, value: Any) -> Any:
        return show_hours(value) if isinstance(value, int) else value

    def has_changed(self, initial: Any, data: Any) -> bool:
        try:
            return initial != self.clean(data)
        except ValidationError:
            return True


class MomentField(forms.DateTimeField):
    """A moment by the build's clock, to the second. In an hour told twice, the earlier one."""

    widget = forms.DateTimeInput(
        attrs={"type": "datetime-local", "step": "1"}, format="%Y-%m-%dT%H:%M:%S"
    )

    def to_python(self, value: Any) -> dt.datetime | None:
        if value in self.empty_values:
            return None
        if isinstance(value, dt.datetime):
            return value
        try:
            moment = parse_datetime(str(value).strip())
        except ValueError:
            moment = None
        if moment is None or not 1900 <= moment.year <= 9000:
            raise ValidationError("That is no day and time; one looks like 2026-02-14 15:30.")
        if moment.tzinfo is None:
            moment = moment.replace(tzinfo=timezone.get_current_timezone())
        return moment.astimezone(dt.UTC)

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, dt.datetime):
            return timezone.localtime(value).replace(tzinfo=None, microsecond=0)
        return value

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compared as shown: what was not touched has not changed, whatever its fraction."""
        try:
            return self._shown(initial) != self._shown(data)
        except ValidationError:
            return True

    def _shown(self, value: Any) -> dt.datetime | None:
        moment = self.to_python(value)
        return moment.replace(microsecond=0) if moment else None


class ManyFiles(forms.ClearableFileInput):
    allow_multiple_selected = True


class ManyFilesField(forms.FileField):
    """Any number of files. Each is judged when it is taken in, by its content."""

    widget = ManyFiles

    def clean(self, data: Any, initial: Any = None) -> list[Any]:
        files = [file for file in data or [] if file]
        if self.required and not files:
            raise ValidationError("Choose at least one photo.")
        return files
