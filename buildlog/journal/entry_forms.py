from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.forms import BaseFormSet, formset_factory
from django.utils import timezone

from buildlog.fields import AmountField
from buildlog.journal.fields import HoursField, TaskCodesField, TasksMixin
from buildlog.journal.models import Entry
from buildlog.journal.photo_forms import photos_field
from buildlog.journal.querysets import EntryQuerySet
from buildlog.journal.writing import Hours, Writing, may_change_hours
from tasks.models import Build, Crew, Person, Task, Work

LONGEST_TEXT = 50_000
A_DAY = 24 * 60


def today_of(build: Build) -> dt.date:
    return timezone.now().astimezone(build.zone).date()


class EntryForm(TasksMixin, forms.Form):
    """A log entry, but for its hours: those are a formset beside it."""

    day = forms.DateField(
        label="Day of the work",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    text = forms.CharField(
        label="What was done, and why",
        required=False,
        max_length=LONGEST_TEXT,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 8}),
        help_text="A blank line makes a paragraph, *stars* make it lean, - begins a list.",
    )
    air_c = AmountField(
        label="Air, °C", required=False, min_value=-60, max_value=90, max_digits=5, decimal_places=2
    )
    surface_c = AmountField(
        label="Surface, °C",
        required=False,
        min_value=-60,
        max_value=90,
        max_digits=5,
        decimal_places=2,
    )
    humidity = AmountField(
        label="Relative humidity, %",
        required=False,
        min_value=0,
        max_value=100,
        max_digits=5,
        decimal_places=2,
    )
    photos = photos_field(required=False)
    key = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)
    version = forms.IntegerField(required=False, min_value=0, widget=forms.HiddenInput)

    def __init__(
        self, *args: Any, build: Build, entry: Entry | None = None, tasks: list[Task] | None = None,
        **kwargs: Any,
    ) -> None:  # fmt: skip
        super().__init__(*args, **kwargs)
        self.build = build
        self.fields["day"].widget.attrs["max"] = today_of(build).isoformat()
        self.add_tasks(build, entry.tasks.all() if entry else tasks or [])
        self.order_fields(["day", "text", "near", "more", "air_c", "surface_c", "humidity"])

    def clean_day(self) -> dt.date:
        day = self.cleaned_data["day"]
        if day > today_of(self.build):
            raise ValidationError("That day has not come yet; the log tells of work done.")
        if day.year < 1900:
            raise ValidationError("That is before anyone began; look at the year.")
        return day

    def writing(self, hours: list[Hours]) -> Writing:
        data = self.cleaned_data
        return Writing(
            day=data["day"], text=data["text"], tasks=self.chosen_tasks(), hours=hours,
            air_c=data["air_c"], surface_c=data["surface_c"], humidity=data["humidity"],
            key=data["key"],
        )  # fmt: skip


class HoursForm(forms.Form):
    """Hours of one person. A row without hours is nothing; an old row emptied is removed."""

    work = forms.IntegerField(required=False, widget=forms.HiddenInput)
    was = forms.IntegerField(required=False, widget=forms.HiddenInput)
    person = forms.TypedChoiceField(label="Who", required=False, empty_value=None)
    who = forms.CharField(label="Their name", required=False, max_length=120)
    hours = HoursField(label="Hours", required=False)
    task = TaskCodesField(one=True, label="Task number")

    def __init__(self, *args: Any, crew: Crew, people: dict[str, Person], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.crew = crew
        self.fields["task"].build = crew.build
        self.fields["hours"].widget.attrs |= {"placeholder": "3 h 30", "autocomplete": "off"}
        if crew.may("plan"):
            names = [(pk, str(person)) for pk, person in people.items()]
            self.fields["person"].choices = [("", "somebody else:"), *names]
            self.fields["person"].coerce = lambda pk: people.get(str(pk))
        else:
            del self.fields["person"], self.fields["who"]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        minutes = data.get("hours")
        if minutes and minutes > A_DAY:
            self.add_error("hours", "A day has 24 hours. Write one entry for each day.")
        if minutes == 0:
            self.add_error("hours", "Say more than none, or leave it empty.")
        if minutes and not self.person_of(data) and not data.get("who"):
            self.add_error("who", "Whose hours are these?")
        return data

    def person_of(self, data: dict[str, Any]) -> Person | None:
        return data.get("person") if "person" in self.fields else self.crew.person


class HoursFormSet(BaseFormSet):
    """The hours of an entry that this person may change, and empty rows for more."""

    def __init__(
        self, *args: Any, crew: Crew, works: list[Work] | None = None, **kwargs: Any
    ) -> None:
        self.own = {work.pk: work for work in works or [] if may_change_hours(crew, work)}
        initial = [
            {"work": w.pk, "was": w.minutes, "person": w.person_id or "", "hours": w.minutes,
             "who": "" if w.person_id else w.who, "task": w.task.code if w.task else ""}
            for w in self.own.values()
        ]  # fmt: skip
        if not initial and works is None:
            initial = [{"person": crew.person_id}]
        self.extra = 1 if self.own else 2
        kwargs["form_kwargs"] = {"crew": crew, "people": self._people(crew)}
        super().__init__(*args, initial=initial, prefix="hours", **kwargs)

    def _people(self, crew: Crew) -> dict[str, Person]:
        """The crew, and who logged these hours and has left it since."""
        logged = [work.person_id for work in self.own.values()]
        known = Person.objects.filter(Q(crew_of__build=crew.build) | Q(pk__in=logged)).distinct()
        return {str(person.pk): person for person in known.order_by("name", "pk")}

    @property
    def strange(self) -> list[HoursForm]:
        """Rows that were offered once and are gone now, or were never this person's to change."""
        numbers = {form: form.cleaned_data.get("work") for form in self.forms}
        return [form for form, number in numbers.items() if number and number not in self.own]

    def rows(self) -> list[Hours]:
        """What was added or changed; rows that say what they said are left alone."""
        return [row for form in self.forms if (row := self._row(form))]

    def _row(self, form: HoursForm) -> Hours | None:
        data = form.cleaned_data
        work = self.own.get(data.get("work"))
        minutes, person = data.get("hours"), form.person_of(data)
        if not form.has_changed() if work else not minutes:
            return None
        who = "" if person else data.get("who", "")
        return Hours(minutes, person, who, data.get("task"), work, data.get("was"))


HoursRows = formset_factory(HoursForm, formset=HoursFormSet, max_num=60, absolute_max=80)


class QuickForm(forms.Form):
    """One line for the log, from the bench: today's, unless it says otherwise."""

    text = forms.CharField(
        label="A line for the log",
        max_length=LONGEST_TEXT,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    task = TaskCodesField(one=True, label="Task number")
    key = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.build = build
        self.fields["task"].build = build

    def writing(self, or_task: Task | None = None) -> Writing:
        data = self.cleaned_data
        task = data["task"] or or_task
        tasks = [task] if task else []
        return Writing(today_of(self.build), data["text"], tasks, key=data["key"])


class LogFilter(forms.Form):
    """Which entries of the log to read."""

    words = forms.CharField(required=False, max_length=200, label="Words")
    stage = forms.ModelChoiceField(None, required=False, empty_label="all stages")
    task = TaskCodesField(one=True, label="Task number")
    person = forms.ModelChoiceField(None, required=False, empty_label="everybody")
    month = forms.ChoiceField(required=False)

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.build = build
        self.fields["words"].widget.input_type = "search"
        self.fields["stage"].queryset = build.stages.all()
        self.fields["person"].queryset = Person.objects.filter(crew_of__build=build)
        self.fields["task"].build = build
        self.fields["month"].choices = months_of(build)

    def entries(self) -> EntryQuerySet:
        """What was asked for; where it was asked badly, all of that kind."""
        entries = self.build.entries.all()
        self.is_valid()
        asked = self.cleaned_data
        if words := asked.get("words"):
            entries = entries.saying(words)
        if stage := asked.get("stage"):
            entries = entries.of_stage(stage)
        if task := asked.get("task"):
            entries = entries.of_task(task)
        if person := asked.get("person"):
            entries = entries.by_person(person)
        if month := asked.get("month"):
            entries = entries.in_month(dt.date.fromisoformat(f"{month}-01"))
        return entries


def months_of(build: Build) -> list[tuple[str, str]]:
    """Every month from the first entry to the last, the newest first."""
    days = build.entries.order_by("day").values_list("day", flat=True)
    first, last = days.first(), days.last()
    choices = [("", "all months")]
    month = last.replace(day=1) if last else None
    while month and first and month >= first.replace(day=1) and len(choices) < 600:
        choices.append((f"{month:%Y-%m}", f"{month:%B %Y}"))
        month = (month - dt.timedelta(days=1)).replace(day=1)
    return choices
