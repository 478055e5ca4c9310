"""Where the builder wants a task in the order of work."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms

from tasks.forms.fields import TaskField
from tasks.models import Task

MOMENT_FORMAT = "%Y-%m-%dT%H:%M"


class PinForm(forms.Form):
    """A task that is to start at just this time."""

    at = forms.DateTimeField(
        label="Starts at just this time",
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format=MOMENT_FORMAT),
        help_text="Within the shop hours: the day the crane comes, or the helpers.",
    )

    def __init__(self, *args: Any, now: dt.datetime, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.now = now

    def clean_at(self) -> dt.datetime:
        at: dt.datetime = self.cleaned_data["at"]
        if at < self.now:
            raise forms.ValidationError("That is past. Choose a time to come.")
        if at > self.now + dt.timedelta(days=20 * 366):
            raise forms.ValidationError("That is more than twenty years ahead.")
        return at


class TurnForm(forms.Form):
    """A task that is to begin after another, though no link asks for it."""

    after = TaskField(label="Begins after", required=True)

    def __init__(self, *args: Any, task: Task, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.task = task
        field: Any = self.fields["after"]
        field.build = task.build

    def clean_after(self) -> Task:
        after: Task = self.cleaned_data["after"]
        if after.pk == self.task.pk:
            raise forms.ValidationError("A task cannot come after itself.")
        if after.finished_at or after.started_at:
            raise forms.ValidationError("That one is begun already: this task comes after it.")
        return after
