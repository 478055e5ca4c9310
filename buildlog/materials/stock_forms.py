from __future__ import annotations

import datetime as dt
import secrets
from typing import Any

from django import forms

from buildlog.materials.amounts import read_amount
from buildlog.materials.models import Material, StockMove
from buildlog.materials.stock import count_stock, move_stock
from buildlog.units import UnitError
from tasks.forms.fields import TaskField
from tasks.models import Build, Person

Kind = StockMove.Kind
BY_HAND = [
    (Kind.USED, "used"),
    (Kind.WASTED, "wasted"),
    (Kind.RETURNED, "sent back to the supplier"),
    (Kind.COUNTED, "counted: so much is there"),
]


class StockForm(forms.Form):
    """A row of the stock ledger, written by hand."""

    kind = forms.ChoiceField(label="What happened", choices=BY_HAND)
    amount = forms.CharField(label="How much", max_length=40)
    day = forms.DateField(
        label="Day", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    task = TaskField(label="For which task")
    note = forms.CharField(label="Note", max_length=200, required=False)
    sent_once = forms.CharField(widget=forms.HiddenInput, required=False, max_length=64)

    def __init__(
        self, *args: Any, build: Build, material: Material, today: dt.date, **kwargs: Any
    ) -> None:
        start = {"day": today, "sent_once": secrets.token_urlsafe(16)}
        super().__init__(*args, initial=start, **kwargs)
        self.build, self.material, self.today = build, material, today
        self.fields["task"].build = build
        unit = material.get_unit_display()
        self.fields["amount"].help_text = f"In {unit}, or with a unit of its own."
        self.fields["amount"].widget.attrs["autocomplete"] = "off"

    def clean_day(self) -> dt.date:
        day = self.cleaned_data["day"]
        if day > self.today:
            raise forms.ValidationError("That day is still to come.")
        if day.year < 1900:
            raise forms.ValidationError("That is before any build. Check the year.")
        return day

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if text := cleaned.get("amount"):
            try:
                cleaned["amount"] = read_amount(text, self.material)
            except UnitError as error:
                self.add_error("amount", str(error))
            else:
                if not cleaned["amount"] and cleaned.get("kind") != Kind.COUNTED:
                    self.add_error("amount", "Nothing was moved. Only a count may be nought.")
        return cleaned

    def save(self, person: Person) -> StockMove:
        """Write the row; a second click on the same form finds the first one's."""
        said = self.cleaned_data
        if said["kind"] == Kind.COUNTED:
            return count_stock(
                self.material, said["amount"], said["day"], person, said["note"], said["sent_once"]
            )
        move = StockMove(
            build=self.build, material=self.material, day=said["day"], kind=said["kind"],
            task=said["task"], note=said["note"], person=person, key=said["sent_once"],
        )  # fmt: skip
        return move_stock(move, said["amount"])
