from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import Q

from tasks.forms.fields import HoursField, TwoTabsForm
from tasks.models import Link, Task

WAYS = [("before", "comes before this one"), ("after", "comes after this one")]
LAG_HELP = "Time to wait besides, e.g. 2 h; with a minus, how much sooner it may be."


class LinkFields(TwoTabsForm):
    lag_minutes = HoursField(label="Lag", required=False, negative=True, help_text=LAG_HELP)

    class Meta:
        model = Link
        fields = ["kind", "lag_minutes", "lag_in", "waits_for_cure"]
        labels = {"kind": "The task after", "lag_in": "Lag counted in"}
        help_texts = {"waits_for_cure": "Leave it out where uncured work does no harm."}

    def clean_lag_minutes(self) -> int:
        return self.cleaned_data["lag_minutes"] or 0


class EditLinkForm(LinkFields):
    """How one task waits for another; which ones is not changed here."""

    def _get_validation_exclusions(self) -> set[str]:
        return super()._get_validation_exclusions() - {"before", "after"}


class NewLinkForm(LinkFields):
    """A link from the sheet of one task to another, which is named by number."""

    other = forms.CharField(
        label="Link with", max_length=240,
        widget=forms.TextInput(attrs={"list": "all-tasks", "autocomplete": "off"}),
        help_text="Its number, or its name.",
    )  # fmt: skip
    way = forms.ChoiceField(label="The other task", choices=WAYS, initial="before")
    field_order = ["other", "way", "kind", "lag_minutes", "lag_in", "waits_for_cure"]

    def __init__(self, *args: Any, task: Task, **kwargs: Any) -> None:
        self.task = task
        super().__init__(*args, instance=Link(build=task.build), **kwargs)

    def clean_other(self) -> Task:
        typed = " ".join(self.cleaned_data["other"].split())
        tasks = Task.objects.filter(build=self.task.build)
        number = typed.split(" ", 1)[0]
        found = list(tasks.filter(Q(code__iexact=typed) | Q(name__iexact=typed))[:3])
        if not found:
            found = [task for task in tasks.filter(code__iexact=number) if str(task) == typed]
        if not found:
            raise forms.ValidationError(f"There is no task “{typed}”. Give the number of one.")
        if len(found) > 1:
            codes = ", ".join(task.code for task in found)
            raise forms.ValidationError(f"“{typed}” could be {codes}. Give the number.")
        return found[0]

    def _post_clean(self) -> None:
        other, way = self.cleaned_data.get("other"), self.cleaned_data.get("way")
        if other and way:
            ends = (other, self.task) if way == "before" else (self.task, other)
            self.instance.before, self.instance.after = ends
        super()._post_clean()  # type: ignore[misc]

    def _get_validation_exclusions(self) -> set[str]:
        excluded = super()._get_validation_exclusions()
        return excluded - {"before", "after"} if self.instance.before_id else excluded
