"""Fields for hours and for tasks by number, and the guard of a form that two tabs may have open."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import Any

from django import forms
from django.db.models import Q

from tasks.hours import NotHours, read_hours, show_hours
from tasks.models import Build, Task

CHANGED_MEANWHILE = (
    "It was changed meanwhile, in another tab or by somebody else. What you typed is still here, "
    "and what is there now stands beside it. Save again to put yours in its place."
)


class MeaningField(forms.Field):
    """A field of which the meaning counts, not the letters: 3,50 is no change of 3.5."""

    def has_changed(self, initial: Any, data: Any) -> bool:
        try:
            return bool(self.to_python(initial) != self.to_python(data))
        except forms.ValidationError:
            return True


class HoursField(MeaningField):
    """Hours as a builder writes them, in whole minutes; with `days`, days of 24 hours too."""

    def __init__(self, *, negative: bool = False, days: bool = False, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.TextInput(attrs={"maxlength": 30}))
        super().__init__(**kwargs)
        self.negative, self.days = negative, days

    def to_python(self, value: Any) -> Any:
        if isinstance(value, int):
            return value
        text = str(value or "").strip()
        if not text:
            return None
        try:
            return read_hours(text, negative=self.negative, days=self.days)
        except NotHours as error:
            raise forms.ValidationError(str(error)) from None

    def prepare_value(self, value: Any) -> Any:
        return show_hours(value) if isinstance(value, int) else value


class TaskField(MeaningField):
    """One task by its number or its name. The form says `field.build = build`."""

    widget = forms.TextInput
    build: Build

    def __init__(self, **options: Any) -> None:
        options.setdefault("required", False)
        options.setdefault("help_text", "Its number on the plan, or its name.")
        super().__init__(**options)
        self.widget.attrs |= {"autocomplete": "off", "list": "task-list", "maxlength": "240"}

    def to_python(self, value: Any) -> Task | None:
        if value in self.empty_values or isinstance(value, Task):
            return value or None
        typed = " ".join(str(value).replace("\0", " ").split())
        if not typed:
            return None
        named = Q(code__iexact=typed) | Q(name__iexact=typed) | Q(code__iexact=typed.split(" ")[0])
        found = list(self.build.tasks.filter(named)[:20])
        exact = [one for one in found if typed in (one.code, str(one))]
        likely = exact or [
            one
            for one in found
            if typed.casefold() in (one.code.casefold(), one.name.casefold(), str(one).casefold())
        ]
        if not likely:
            raise forms.ValidationError(f"There is no task “{typed[:60]}”. Give the number of one.")
        if len(likely) > 1:
            codes = ", ".join(one.code for one in likely)
            raise forms.ValidationError(f"“{typed[:60]}” could be {codes}. Give the number.")
        return likely[0]

    def prepare_value(self, value: Any) -> Any:
        return str(value) if isinstance(value, Task) else value


@dataclass(frozen=True, slots=True)
class Difference:
    label: str
    typed: Any
    there_now: Any


def as_read_now(form: Any) -> Any:
    """What was sent to a form, as if it had been read from the row as it is now."""
    data = form.data.copy()
    data[form.add_prefix("read_as")] = form.now_is
    return data


class TwoTabsForm(forms.ModelForm):
    """A form that says which version of its row it was read from, and refuses to overwrite another.

    Give it the row as it is now, read in the transaction that will save it. Only the form's own
    fields are saved, and rules across fields hold for the fields that the view has set, too.
    """

    read_as = forms.CharField(widget=forms.HiddenInput, required=False)
    build: Build

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.differences: list[Difference] = []
        self.now_is = self._version()
        self.initial["read_as"] = self.now_is

    @property
    def stale(self) -> bool:
        return bool(self.differences)

    def _own_fields(self) -> list[str]:
        return [name for name in self.fields if name != "read_as"]

    def _version(self) -> str:
        if not self.instance.pk:
            return ""
        values = [self.instance.serializable_value(name) for name in self._meta.fields or ()]
        return hashlib.sha256(repr(values).encode()).hexdigest()[:16]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if self.instance.pk and self.data.get(self.add_prefix("read_as")) != self.now_is:
            self._refuse_stale()
        return cleaned

    def _refuse_stale(self) -> None:
        for name in self._own_fields():
            there_now = self[name].initial
            if self[name].field.has_changed(there_now, self[name].data):
                label = str(self[name].label)
                there = self._shown(name, there_now)
                typed = self._shown(name, self[name].data)
                self.differences.append(Difference(label, typed, there))
        self.data = as_read_now(self)
        if self.differences:
            raise forms.ValidationError(CHANGED_MEANWHILE, code="stale")

    def _shown(self, name: str, value: Any) -> Any:
        field = self.fields[name]
        if isinstance(field, forms.BooleanField):
            return "yes" if field.to_python(value) else "no"
        if isinstance(field, forms.ModelChoiceField):
            try:
                return str(field.to_python(value) or "nothing")
            except forms.ValidationError:
                return value
        if isinstance(field, forms.ChoiceField):
            words: dict[Any, Any] = dict(list(field.choices))  # type: ignore[arg-type]
            return words.get(value, words.get(str(value), value))
        shown = field.prepare_value(value)
        return "nothing" if shown in (None, "") else shown

    def _get_validation_exclusions(self) -> set[str]:
        excluded: set[str] = super()._get_validation_exclusions()  # type: ignore[misc]
        return excluded - {"build"}

    def save(self, commit: bool = True) -> Any:
        if self.instance.pk is None:
            return super().save(commit)
        self.instance.save(update_fields=self._saved_fields())
        return self.instance

    def _saved_fields(self) -> list[str]:
        return list(self._meta.fields or ())
