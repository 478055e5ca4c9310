from __future__ import annotations

import re
from itertools import pairwise
from typing import Any

from django import forms

from tasks.changes import Stretches
from tasks.forms.fields import as_read_now
from tasks.models import DayOff, ShopHours
from tasks.templatetags.shoptime import clock

_TIME = r"(\d{1,2})(?:[:.h](\d{2})?)?"
_STRETCH = re.compile(rf"{_TIME}\s*(?:-|–|—|to|until)\s*{_TIME}", re.ASCII | re.IGNORECASE)
WEEKEND = {5: [(9 * 60, 17 * 60)], 6: [(10 * 60, 16 * 60)]}


class DayHoursField(forms.Field):
    """The shop hours of one weekday: `9–13, 14–17:30`. Minutes of the day, in order."""

    def __init__(self, **kwargs: Any) -> None:
        widget = forms.TextInput(attrs={"maxlength": 100})
        super().__init__(required=False, widget=widget, **kwargs)

    def to_python(self, value: Any) -> Any:
        text = str(value or "")[:200]
        stretches = [
            self._stretch(part) for part in re.split(r"[,;]|\band\b", text) if part.strip()
        ]
        stretches.sort()
        for (_, end), (start, _) in pairwise(stretches):
            if start < end:
                raise forms.ValidationError("Two of these stretches overlap.")
        return stretches

    def _stretch(self, text: str) -> tuple[int, int]:
        match = _STRETCH.fullmatch(text.strip())
        if not match:
            raise forms.ValidationError(
                f"“{text.strip()}” is no stretch of hours; write 9–13 or 18:00–21:30."
            )
        start, end = (
            int(hour) * 60 + int(minute or 0)
            for hour, minute in ((match[1], match[2]), (match[3], match[4]))
        )
        if max(start, end) > 1440 or (match[2] or "0") > "59" or (match[4] or "0") > "59":
            raise forms.ValidationError(f"“{text.strip()}” is past the end of the day, 24:00.")
        if end <= start:
            raise forms.ValidationError(
                f"“{text.strip()}” ends before it starts. Past midnight, write the rest on the "
                "next day: 20–24, and 0–2."
            )
        return start, end

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, (list, tuple)):
            return ", ".join(f"{clock(start)}–{clock(end)}" for start, end in value)
        return value


class WeekForm(forms.Form):
    """A week's pattern of shop hours, a line for each day."""

    read_as = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, week: Stretches | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.week = week or {}
        for weekday, name in ShopHours.WEEKDAYS:
            self.fields[f"day_{weekday}"] = DayHoursField(
                label=name, initial=self.week.get(weekday, [])
            )
        self.initial["read_as"] = self.now_is = repr(sorted(self.week.items()))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        read_as = self.data.get(self.add_prefix("read_as"))
        stale = read_as is not None and read_as != self.now_is and not self.errors
        if stale and self.stretches() != self.week:
            self.data = as_read_now(self)
            raise forms.ValidationError(
                "The hours were changed meanwhile, in another tab or by somebody else. There now: "
                f"{self._in_words()}. Save again to put yours in their place.",
                code="stale",
            )
        return cleaned

    def stretches(self) -> Stretches:
        """Minutes of the day by weekday, for days that have any."""
        days = {weekday: self.cleaned_data.get(f"day_{weekday}") for weekday in range(7)}
        return {weekday: stretches for weekday, stretches in days.items() if stretches}

    def _in_words(self) -> str:
        field = DayHoursField()
        names = dict(ShopHours.WEEKDAYS)
        days = [f"{names[d]} {field.prepare_value(s)}" for d, s in sorted(self.week.items())]
        return "; ".join(days) or "none at all"


class DayOffForm(forms.ModelForm):
    """Days without shop hours. The last may be left empty for a single day."""

    class Meta:
        model = DayOff
        fields = ["first", "last", "reason"]
        widgets = {
            name: forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
            for name in ("first", "last")
        }
        labels = {"first": "First day off", "last": "Last day off"}
        help_texts = {"last": "Empty for one day.", "reason": "E.g. away, or too cold to glue."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["last"].required = False

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        first = cleaned.get("first")
        if first and "last" in cleaned:
            last = cleaned["last"] = cleaned["last"] or first
            if last < first:
                self.add_error("last", "The last day off must not be before the first.")
        return cleaned
