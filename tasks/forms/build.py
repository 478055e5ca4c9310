from __future__ import annotations

from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.utils.module_loading import import_string

from tasks.changes import Stretches
from tasks.forms.fields import TwoTabsForm
from tasks.forms.hours import WEEKEND, DayHoursField
from tasks.models import Build, ShopHours


def currencies() -> list[tuple[str, str]]:
    """Code and name of the currencies that amounts can be in, as the settings name them."""
    known = import_string(settings.CURRENCIES)
    return sorted((code, f"{code} {one.name}") for code, one in known.items())


class BuildFields(TwoTabsForm):
    class Meta:
        model = Build
        fields = [
            "name", "about", "started", "length_system", "denominator", "currency", "time_zone",
        ]  # fmt: skip
        widgets = {
            "started": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "about": forms.Textarea(attrs={"rows": 3}),
            "time_zone": forms.TextInput(attrs={"list": "zones", "autocomplete": "off"}),
        }
        help_texts = {
            "denominator": "For lengths in inches.",
            "time_zone": "Where the shed is, e.g. Europe/Paris. Days and shop hours follow it.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = currencies()
        now = self.instance.currency
        if now not in dict(known):
            known = [(now, now), *known]
        self.fields["currency"] = forms.ChoiceField(
            label="Currency", choices=known, initial=now,
            help_text=self.fields["currency"].help_text,
        )  # fmt: skip

    @staticmethod
    def zones() -> list[str]:
        return sorted(zone for zone in available_timezones() if "/" in zone or zone == "UTC")

    def clean_name(self) -> str:
        name = " ".join(self.cleaned_data["name"].split())
        if not name:
            raise ValidationError("Give her a name, if only for now.")
        return name


class BuildForm(BuildFields):
    """What holds for the whole build."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields[
            "currency"
        ].help_text = "Amounts entered so far keep their numbers: nothing is converted."


class DeleteBuildForm(forms.Form):
    """The name of a build, typed by whoever wants it deleted."""

    name = forms.CharField(
        label="Her name", max_length=80, widget=forms.TextInput(attrs={"autocomplete": "off"}),
        help_text="Type it as it stands above.",
    )  # fmt: skip

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.build = build

    def clean_name(self) -> str:
        name = " ".join(self.cleaned_data["name"].split())
        if name.casefold() != self.build.name.casefold():
            raise ValidationError(f"That is not her name. Nothing is deleted: she is {self.build}.")
        return name


class NewBuildForm(BuildFields):
    """All that a new build needs to give dates: the boat, units, hours and first tasks."""

    OUTLINE, LISTS, BOTH, NOTHING = "outline", "lists", "both", "nothing"
    STARTS = [
        (OUTLINE, "a construction outline: the usual stages, tasks and links of a plywood and "
                  "epoxy boat, to be changed into yours"),
        (LISTS, "lists of my own: spreadsheets of tasks, links, parts"),
        (BOTH, "the outline, and then my own lists of parts and purchases"),
        (NOTHING, "an empty sheet"),
    ]  # fmt: skip
    start_from = forms.ChoiceField(
        label="Start from", choices=STARTS, initial=OUTLINE, widget=forms.RadioSelect
    )

    BOAT = ("name", "about", "started")
    UNITS = ("length_system", "denominator", "currency", "time_zone")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for weekday, name in ShopHours.WEEKDAYS:
            self.fields[f"day_{weekday}"] = DayHoursField(
                label=name, initial=WEEKEND.get(weekday, [])
            )

    def boat(self) -> list[forms.BoundField]:
        return [self[name] for name in self.BOAT]

    def units(self) -> list[forms.BoundField]:
        return [self[name] for name in self.UNITS]

    def days(self) -> list[forms.BoundField]:
        return [self[f"day_{weekday}"] for weekday in range(7)]

    def week(self) -> Stretches:
        days = {weekday: self.cleaned_data[f"day_{weekday}"] for weekday in range(7)}
        return {weekday: stretches for weekday, stretches in days.items() if stretches}

    @property
    def wants_outline(self) -> bool:
        return self.cleaned_data["start_from"] in (self.OUTLINE, self.BOTH)

    @property
    def wants_lists(self) -> bool:
        return self.cleaned_data["start_from"] in (self.LISTS, self.BOTH)
