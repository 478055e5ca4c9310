from __future__ import annotations

from typing import Any

from django import forms

from tasks.forms.fields import HoursField, TaskField, TwoTabsForm
from tasks.hours import NotHours, read_hours
from tasks.models import LagIn, Link, Task

WAYS = [("before", "comes before this one"), ("after", "comes after this one")]
LAG_HELP = "Time to wait besides, e.g. 2 h; with a minus, how much sooner it may be."


class LinkFields(TwoTabsForm):
    lag_minutes = HoursField(
        label="Lag", required=False, negative=True, days=True, help_text=LAG_HELP
    )

    class Meta:
        model = Link
        fields = ["kind", "lag_minutes", "lag_in", "waits_for_cure"]
        labels = {"kind": "The task after", "lag_in": "Lag counted in"}
        help_texts = {"waits_for_cure": "Leave it out where uncured work does no harm."}

    def clean_lag_minutes(self) -> int:
        return self.cleaned_data["lag_minutes"] or 0

    def clean(self) -> dict[str, Any]:
        """A day in the shed has no length: days are read only of a lag by the clock."""
        cleaned = super().clean()
        if cleaned.get("lag_in") == LagIn.SHOP and cleaned.get("lag_minutes"):
            try:
                read_hours(self["lag_minutes"].data, negative=True)
            except NotHours as error:
                self.add_error("lag_minutes", str(error))
        return cleaned


class EditLinkForm(LinkFields):
    """How one task waits for another; which ones is not changed here."""

    def _get_validation_exclusions(self) -> set[str]:
        return super()._get_validation_exclusions() - {"before", "after"}


class NewLinkForm(LinkFields):
    """A link from the sheet of one task to another, which is named by number."""

    other = TaskField(label="Link with", required=True)
    way = forms.ChoiceField(label="The other task", choices=WAYS, initial="before")
    field_order = ["other", "way", "kind", "lag_minutes", "lag_in", "waits_for_cure"]

    def __init__(self, *args: Any, task: Task, **kwargs: Any) -> None:
        self.task = task
        super().__init__(*args, instance=Link(build=task.build), **kwargs)
        other: Any = self.fields["other"]
        other.build = task.build

    def _post_clean(self) -> None:
        other, way = self.cleaned_data.get("other"), self.cleaned_data.get("way")
        if other and way:
            ends = (other, self.task) if way == "before" else (self.task, other)
            self.instance.before, self.instance.after = ends
        super()._post_clean()  # type: ignore[misc]

    def _get_validation_exclusions(self) -> set[str]:
        excluded = super()._get_validation_exclusions()
        return excluded - {"before", "after"} if self.instance.before_id else excluded
