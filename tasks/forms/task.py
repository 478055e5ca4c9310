from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms
from django.utils import timezone

from tasks.changes import last_place, next_code
from tasks.forms.fields import HoursField, TwoTabsForm
from tasks.models import Build, Doing, Stage, Task, TaskThing, Thing, WorkKind, WorkLimit

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
            "unbroken", "cure_minutes", "not_before", "work_kind", "limit", "doing",
            "bought_in_days", "notes",
        ]  # fmt: skip
        widgets = {"not_before": DAY_INPUT, "notes": forms.Textarea(attrs={"rows": 3})}
        help_texts = {
            "hands": "How many people it needs at once.",
            "unbroken": "A glue-up cannot be left half clamped until Tuesday.",
            "work_kind": "For holding your guesses against what it took.",
            "limit": "Hours or a season that this work keeps to.",
            "doing": "Bought in or left out, it takes none of your hours; nothing of it is lost.",
            "bought_in_days": "By the calendar, from the day they can begin.",
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
        work_kind: Any = self.fields["work_kind"]
        work_kind.choices = [("", "as its stage"), *WorkKind.choices]
        for name in ("doing", "bought_in_days"):  # unsaid, they stay as they are
            self.fields[name].required = False
        limit: Any = self.fields["limit"]
        limit.queryset = WorkLimit.objects.filter(build=build)
        limit.empty_label = "all the shop hours"
        if not limit.queryset.exists():
            del self.fields["limit"]
        self.held = dict(instance.things.values_list("thing_id", "count")) if instance.pk else {}
        self.things_changed = False
        self.things = list(Thing.objects.filter(build=build))
        for thing in self.things:
            self.fields[self._holds(thing)] = forms.IntegerField(
                label=f"Holds {thing.name}", required=False, min_value=0, max_value=thing.count,
                initial=self.held.get(thing.pk),
                help_text=f"Of {thing.count} that there are." if thing.count > 1 else "",
            )  # fmt: skip

    def thing_fields(self) -> list[forms.BoundField]:
        return [self[self._holds(thing)] for thing in self.things]

    @staticmethod
    def _holds(thing: Thing) -> str:
        return f"thing_{thing.pk}"

    def _version(self) -> str:
        row = self.instance
        held = sorted(row.things.values_list("thing_id", "count")) if row.pk else []
        return f"{super()._version()}-{held}" if held else super()._version()

    def clean_code(self) -> str:
        return " ".join(self.cleaned_data["code"].split())

    def clean_cure_minutes(self) -> int:
        return self.cleaned_data["cure_minutes"] or 0

    def clean_doing(self) -> str:
        doing: str = self.cleaned_data["doing"] or self.instance.doing
        if doing == Doing.LEFT_OUT and self.instance.why_not_left_out:
            raise forms.ValidationError(self.instance.why_not_left_out)
        return doing

    def clean_bought_in_days(self) -> int:
        days = self.cleaned_data["bought_in_days"]
        return self.instance.bought_in_days if days is None else days

    def save(self, commit: bool = True) -> Task:
        if self.instance.stage_id != self.old_stage:
            self.instance.order = last_place(Task.objects.filter(stage=self.instance.stage_id))
        task: Task = super().save(commit)
        self._hold_things(task)
        return task

    def _hold_things(self, task: Task) -> None:
        for thing in self.things:
            count = self.cleaned_data.get(self._holds(thing)) or 0
            if count == self.held.get(thing.pk, 0):
                continue
            self.things_changed = True
            kept = TaskThing.objects.filter(task=task, thing=thing)
            if not count:
                for row in kept:
                    row.delete()
            else:
                TaskThing.objects.update_or_create(
                    task=task, thing=thing, defaults={"build": task.build, "count": count}
                )

    def _saved_fields(self) -> list[str]:
        return [*(name for name in super()._saved_fields() if name in self.fields), "order"]


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
