"""Who helps, what there is to work with, and when work of a sort may be done."""

from __future__ import annotations

import calendar
from typing import Any

from django import forms

from tasks.forms.fields import TwoTabsForm
from tasks.forms.hours import DayHoursField
from tasks.models import Build, HeatedDays, HelpDay, Thing, WorkLimit

WHOLE_DAY = (0, 1440)
MONTHS = [("", "–"), *((number, calendar.month_name[number]) for number in range(1, 13))]
DAY_INPUT = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class StretchField(DayHoursField):
    """One stretch of the day, 8–20; empty for the whole day. (start, end) in minutes comes out."""

    def to_python(self, value: Any) -> Any:
        stretches = super().to_python(value)
        if len(stretches) > 1:
            raise forms.ValidationError("One stretch only: from when to when?")
        return stretches[0] if stretches else WHOLE_DAY

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, tuple):
            return "" if value == WHOLE_DAY else super().prepare_value([value])
        return value


class _WithHours(TwoTabsForm):
    """A row with a stretch of the day, written in one field."""

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        model = self._meta.model
        instance = kwargs.pop("instance", None) or model(build=build)
        super().__init__(*args, instance=instance, **kwargs)
        if instance.pk:
            self.initial["hours"] = (instance.start_minute, instance.end_minute)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if "hours" in cleaned:
            self.instance.start_minute, self.instance.end_minute = cleaned["hours"]
        return cleaned

    def _version(self) -> str:
        row = self.instance
        return f"{super()._version()}-{row.start_minute}-{row.end_minute}" if row.pk else ""

    def _saved_fields(self) -> list[str]:
        return [*super()._saved_fields(), "start_minute", "end_minute"]


class HelpDayForm(_WithHours):
    hours = StretchField(
        label="Hours", help_text="E.g. 10–16; empty for all the shop hours of the day."
    )
    field_order = ["who", "hands", "weekday", "first", "last", "hours"]

    class Meta:
        model = HelpDay
        fields = ["who", "hands", "weekday", "first", "last"]
        widgets = {"first": DAY_INPUT, "last": DAY_INPUT}
        labels = {"weekday": "Which days", "hands": "How many come"}
        help_texts = {
            "first": "For a weekly day: from when, if not from now.",
            "last": "For single days: empty for one day. For a weekly day: until when.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["weekday"]
        field.choices = [("", "on the days below"), *HelpDay.WEEKDAYS]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("weekday") is None and cleaned.get("last") and not cleaned.get("first"):
            self.add_error("first", "Say from which day.")
        return cleaned


class ThingForm(TwoTabsForm):
    class Meta:
        model = Thing
        fields = ["name", "count"]
        help_texts = {"name": "E.g. long clamps, the heated tent, the vacuum pump."}

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        instance = kwargs.pop("instance", None) or Thing(build=build)
        super().__init__(*args, instance=instance, **kwargs)

    def clean_name(self) -> str:
        return " ".join(self.cleaned_data["name"].split())


class WorkLimitForm(_WithHours):
    hours = StretchField(label="Hours", help_text="E.g. 8–20; empty for any hour.")
    first_day = forms.IntegerField(label="From day", required=False, min_value=1, max_value=31)
    last_day = forms.IntegerField(label="To day", required=False, min_value=1, max_value=31)
    first_month = forms.TypedChoiceField(
        label="of", choices=MONTHS, required=False, coerce=int, empty_value=None
    )
    last_month = forms.TypedChoiceField(
        label="of", choices=MONTHS, required=False, coerce=int, empty_value=None
    )
    field_order = ["name", "hours", "first_day", "first_month", "last_day", "last_month"]

    class Meta:
        model = WorkLimit
        fields = ["name", "first_day", "first_month", "last_day", "last_month", "lifted_by"]
        help_texts = {
            "name": "E.g. no noise after eight, or warm enough to coat.",
            "lifted_by": "A task that holds this is not limited: a coat in the heated tent.",
        }

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        super().__init__(*args, build=build, **kwargs)
        lifted: Any = self.fields["lifted_by"]
        lifted.queryset = Thing.objects.filter(build=build)
        lifted.empty_label = "nothing lifts it"

    def clean_name(self) -> str:
        return " ".join(self.cleaned_data["name"].split())


class HeatedDaysForm(TwoTabsForm):
    class Meta:
        model = HeatedDays
        fields = ["first", "last"]
        widgets = {"first": DAY_INPUT, "last": DAY_INPUT}

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        instance = kwargs.pop("instance", None) or HeatedDays(build=build)
        super().__init__(*args, instance=instance, **kwargs)


class AlwaysThereForm(TwoTabsForm):
    """How many pairs of hands there are without anybody coming."""

    class Meta:
        model = Build
        fields = ["hands"]
        help_texts = {"hands": "One if you work alone."}
