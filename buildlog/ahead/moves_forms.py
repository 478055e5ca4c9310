"""A change of the builder's own, to be tried: a form for each sort."""

from __future__ import annotations

import datetime as dt
import re
from calendar import month_name, monthrange
from decimal import Decimal
from typing import Any

from django import forms

from buildlog.ahead.moves import BoughtIn, Evening, Heating, Helper, LeftOut, Move
from buildlog.fields import AmountField
from tasks.forms.shed import DAY_INPUT, WHOLE_DAY, StretchField
from tasks.models import HelpDay, ShopHours
from tasks.plan import Plan
from tasks.words import listed

__all__ = ["FORMS", "MoveForm"]

MOST_AHEAD = dt.timedelta(days=20 * 366)
MOST_TASKS, MOST_MONTHS = 50, 72


def _month(text: str) -> dt.date:
    return dt.date.fromisoformat(f"{text}-01")


class MoveForm(forms.Form):
    """What is typed of a change; `move` gives it. It fits the plan, or the form says why not."""

    title: str
    said: str

    def __init__(self, *args: Any, plan: Plan, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.plan = plan

    @property
    def sort(self) -> str:
        return self.prefix or ""

    def add_prefix(self, field_name: str) -> str:
        return field_name  # only one of the forms is ever sent

    def move(self) -> Move:
        raise NotImplementedError

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if not self.errors and not self.move().fits(self.plan):
            raise forms.ValidationError(self.misfit())
        return cleaned

    def misfit(self) -> str:
        return "That does not fit the plan as it stands."


class EveningForm(MoveForm):
    title = "More hours"
    said = "One more evening, or any other stretch of the week."
    weekday = forms.TypedChoiceField(label="Day", choices=ShopHours.WEEKDAYS, coerce=int)
    hours = StretchField(label="Hours", help_text="E.g. 19–21:30.")

    def clean_hours(self) -> tuple[int, int]:
        hours: tuple[int, int] = self.cleaned_data["hours"]
        if hours == WHOLE_DAY:
            raise forms.ValidationError("Say from when to when: 19–21:30.")
        return hours

    def move(self) -> Evening:
        return Evening(self.cleaned_data["weekday"], *self.cleaned_data["hours"])

    def misfit(self) -> str:
        return "Some of these are shop hours already. Choose another day or other hours."


class HelperForm(MoveForm):
    title = "A helper"
    said = "On one day of every week, or on some days."
    who = forms.CharField(label="Who", required=False, max_length=120)
    hands = forms.IntegerField(label="How many come", min_value=1, max_value=99, initial=1)
    weekday = forms.TypedChoiceField(
        label="Which days", required=False, coerce=int, empty_value=None,
        choices=[("", "on the days below"), *HelpDay.WEEKDAYS],
    )  # fmt: skip
    hours = StretchField(label="Hours", help_text="E.g. 10–16; empty for all shop hours.")
    first = forms.DateField(label="First day", required=False, widget=DAY_INPUT)
    last = forms.DateField(label="Last day", required=False, widget=DAY_INPUT)

    def clean_who(self) -> str:
        return " ".join(self.cleaned_data["who"].split())

    def clean(self) -> dict[str, Any]:
        cleaned = self.cleaned_data
        first, last = cleaned.get("first"), cleaned.get("last")
        if cleaned.get("weekday") is None and not first and "first" not in self.errors:
            self.add_error("first", "Say which day of the week they come, or the first day.")
        if first and last and last < first:
            self.add_error("last", "The last day must not be before the first.")
        for name, day in (("first", first), ("last", last)):
            _check_ahead(self, name, day)
        return super().clean()

    def move(self) -> Helper:
        got = self.cleaned_data
        return Helper(got["hands"], got["weekday"], got["first"], got["last"], *got["hours"],
                      who=got["who"])  # fmt: skip


class HeatingForm(MoveForm):
    title = "The shed heated"
    said = "No season holds any work back in those months. Heaters want fresh air and a watch kept."
    first = forms.TypedChoiceField(label="From the month", coerce=_month)
    last = forms.TypedChoiceField(
        label="To the month", required=False, coerce=_month, empty_value=None
    )
    a_month = AmountField(
        label="Heating costs, a month", required=False, min_value=Decimal(0), max_digits=14,
        decimal_places=4,
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        today = self.plan.now.date()
        number = 12 * today.year + today.month - 1
        months = [dt.date(n // 12, n % 12 + 1, 1) for n in range(number, number + MOST_MONTHS)]
        choices = [(f"{one:%Y-%m}", f"{month_name[one.month]} {one.year}") for one in months]
        first: Any = self.fields["first"]
        last: Any = self.fields["last"]
        first.choices, last.choices = choices, [("", "the same"), *choices]

    def clean(self) -> dict[str, Any]:
        cleaned = self.cleaned_data
        first, last = cleaned.get("first"), cleaned.get("last")
        if first and last and last < first:
            self.add_error("last", "The last month must not be before the first.")
        elif first and (_end_of(last or first) - first).days >= 366:
            self.add_error("last", "That is more than a year in one go.")
        return super().clean()

    def move(self) -> Heating:
        first, last = self.cleaned_data["first"], self.cleaned_data["last"]
        return Heating(
            max(first, self.plan.now.date()), _end_of(last or first), self.cleaned_data["a_month"]
        )


class BoughtInForm(MoveForm):
    title = "Work bought in"
    said = "Somebody else does it for money, without your hands."
    tasks = forms.CharField(
        label="Tasks", max_length=1000, help_text="Their numbers on the plan, e.g. 12, 13."
    )
    price = AmountField(
        label="What they ask, all told", required=False, min_value=Decimal(0), max_digits=14,
        decimal_places=4,
    )  # fmt: skip
    days = forms.IntegerField(
        label="Days for each, by the calendar", required=False, min_value=0, max_value=3660,
        help_text="Empty: their hours, at 40 a week.",
    )  # fmt: skip
    with_material = forms.BooleanField(
        label="Their price holds the material", required=False,
        help_text="Equipment on the parts list stays yours to buy.",
    )  # fmt: skip

    def clean_tasks(self) -> tuple[int, ...]:
        by_code: dict[str, int] = {}
        for one in self.plan.tasks.values():
            by_code.setdefault(one.task.code.casefold(), one.pk)
        typed = [" ".join(part.split()) for part in re.split(r"[,;\n]", self.cleaned_data["tasks"])]
        found = []
        for code in filter(None, typed):
            pk = by_code.get(code.casefold()) or by_code.get(code.split(" ")[0].casefold())
            if pk is None:
                raise forms.ValidationError(
                    f"There is no task “{code[:60]}”. Give the numbers, with commas between."
                )
            found.append(pk)
        found = list(dict.fromkeys(found))
        if not found:
            raise forms.ValidationError("Give the number of a task.")
        if len(found) > MOST_TASKS:
            raise forms.ValidationError(f"That is more than {MOST_TASKS} tasks at once.")
        return tuple(found)

    def move(self) -> BoughtIn:
        got = self.cleaned_data
        return BoughtIn(got["tasks"], got["days"], got["price"], got["with_material"])

    def misfit(self) -> str:
        pks = self.cleaned_data["tasks"]
        cannot = [pk for pk in pks if not BoughtIn(tasks=(pk,)).fits(self.plan)]
        names = listed(str(self.plan.tasks[pk].task) for pk in cannot)
        return f"Begun, done, or not yours to do any more: {names}."


class LeftOutForm(MoveForm):
    title = "A stage left out"
    said = "Only you and her designer know whether she can do without it."
    stage = forms.TypedChoiceField(label="Stage", coerce=int)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["stage"]
        # A stage with work begun is not offered, so one that is chosen fits.
        field.choices = [
            (one.pk, one.name) for one in self.plan.stages if LeftOut(one.pk).fits(self.plan)
        ]

    def move(self) -> LeftOut:
        return LeftOut(self.cleaned_data["stage"])


FORMS: dict[str, type[MoveForm]] = {
    Evening.sort: EveningForm,
    Helper.sort: HelperForm,
    Heating.sort: HeatingForm,
    BoughtIn.sort: BoughtInForm,
    LeftOut.sort: LeftOutForm,
}


def _end_of(month: dt.date) -> dt.date:
    return month.replace(day=monthrange(month.year, month.month)[1])


def _check_ahead(form: MoveForm, name: str, day: dt.date | None) -> None:
    if day and day > form.plan.now.date() + MOST_AHEAD:
        form.add_error(name, "That is more than twenty years ahead.")
