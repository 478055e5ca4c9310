from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms
from django.utils import timezone

from tasks.changes import last_place, next_code
from tasks.forms.fields import HoursField, TwoTabsForm
from tasks.models import Build, Stage, Task

DAY_INPUT = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
MOMENT_FORMAT = "%Y-%m-%dT%H:%M"


class TaskForm(TwoTabsForm):
    """One task of a build. A new one comes last in its stage, with the next number proposed."""

    low_minutes = HoursField(label="Low", help_text="If all goes well, e.g. 6 or 6 h 30.")
    likely_minutes = HoursField(label="Likely", help_text="Hours of all people together.")
    high_minutes = HoursField(label="High", help_text="If it goes badly.")
    cure_minutes = HoursField(
        label="Cure", required=False, days=True,
        help_text="By the clock, after glue, fillet or coating: 24 h, or 2 days.",
    )  # fmt: skip

    class Meta:
        model = Task
        fields = [
            "stage", "code", "name", "low_minutes", "likely_minutes", "high_minutes", "hands",
            "unbroken", "cure_minutes", "not_before", "notes",
        ]  # fmt: skip
        widgets = {"not_before": DAY_INPUT, "notes": forms.Textarea(attrs={"rows": 3})}
        help_texts = {
            "hands": "How many people it needs at once.",
            "unbroken": "A glue-up cannot be left half clamped until Tuesday.",
            "not_before": "The first day it may start: when the engine comes, when it is warm.",
        }

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        instance = kwargs.get("instance") or Task(build=build)
        self.old_stage = instance.stage_id
        if not instance.pk:
            instance.build = build
            kwargs["initial"] = {"code": next_code(build)} | (kwargs.get("initial") or {})
        super().__init__(*args, **kwargs | {"instance": instance})
        stage: Any = self.fields["stage"]
        stage.queryset = Stage.objects.filter(build=build)
        stage.empty_label = None if instance.pk else "Choose…"
        self.fields["hands"].widget.attrs["inputmode"] = "numeric"

    def clean_code(self) -> str:
        return " ".join(self.cleaned_data["code"].split())

    def clean_cure_minutes(self) -> int:
        return self.cleaned_data["cure_minutes"] or 0

    def save(self, commit: bool = True) -> Task:
        if self.instance.stage_id != self.old_stage:
            self.instance.order = last_place(Task.objects.filter(stage=self.instance.stage_id))
        return super().save(commit)

    def _saved_fields(self) -> list[str]:
        return [*super()._saved_fields(), "order"]


class DatesForm(TwoTabsForm):
    """When a task was really started and finished, for what nobody clicked at the time."""

    class Meta:
        model = Task
        fields = ["started_at", "finished_at"]
        widgets = {
            name: forms.DateTimeInput(attrs={"type": "datetime-local"}, format=MOMENT_FORMAT)
            for name in fields
        }
        help_texts = {"finished_at": "Empty while there is work left."}

    def __init__(self, *args: Any, now: dt.datetime | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.now = now or timezone.now()
        self.running = self.instance.work.filter(minutes=None).exists()

    def clean_started_at(self) -> dt.datetime | None:
        return self._not_to_come(self.cleaned_data["started_at"])

    def clean_finished_at(self) -> dt.datetime | None:
        finished = self._not_to_come(self.cleaned_data["finished_at"])
        if finished and self.running:
            raise forms.ValidationError("A clock is running on it. Stop it first.")
        return finished

    def _not_to_come(self, moment: dt.datetime | None) -> dt.datetime | None:
        if moment and moment > self.now:
            raise forms.ValidationError("That is still to come.")
        return moment

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("finished_at") and "started_at" in cleaned and not cleaned["started_at"]:
            self.add_error("started_at", "What is finished was started: say when.")
        return cleaned


class LeftForm(forms.Form):
    """How much work the builder says is left."""

    left = HoursField(
        label="Hours left, if you know better", required=False,
        help_text="Of all people together. Empty: estimate less what is logged.",
    )  # fmt: skip
