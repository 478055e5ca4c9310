from __future__ import annotations

from django import forms
from django.utils.text import slugify

from buildlog.fields import AmountField
from buildlog.supporters.models import (
    Contribution,
    PublicPage,
    Supporter,
    Update,
    unguessable_address,
)


class DayInput(forms.DateInput):
    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


class SupporterForm(forms.ModelForm):
    class Meta:
        model = Supporter
        fields = ["name", "agreed", "shown_as", "email", "since", "notes"]
        widgets = {"since": DayInput(), "notes": forms.Textarea(attrs={"rows": 3})}
        help_texts = {
            "agreed": "Only with this are they on the thank-you list.",
            "shown_as": "If it is not the name above: a first name, initials, a boat.",
            "email": "For you; it is shown to nobody.",
            "notes": "For you; they are shown to nobody.",
        }


class ContributionForm(forms.ModelForm):
    amount = AmountField(max_digits=14, decimal_places=4)

    class Meta:
        model = Contribution
        fields = ["day", "amount", "note"]
        widgets = {"day": DayInput()}

    def __init__(self, *args, currency: str, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["amount"].label = f"Amount, {currency}"
        self.fields["amount"].validators += Contribution._meta.get_field("amount").validators


class UpdateForm(forms.ModelForm):
    class Meta:
        model = Update
        fields = ["title", "day", "text"]
        widgets = {"day": DayInput(), "text": forms.Textarea(attrs={"rows": 12})}
        help_texts = {
            "day": "The day it tells of.",
            "text": "An empty line begins a paragraph; **two stars** make bold; "
            "- a dash begins a line of a list; [words](https://…) make a link.",
        }


class PageForm(forms.ModelForm):
    """What the public page holds. Whether it is switched on is an act of its own."""

    class Meta:
        model = PublicPage
        fields = [
            "intro", "shows_tasks", "shows_task_names", "shows_hours", "shows_names", "signed_as",
        ]  # fmt: skip
        widgets = {"intro": forms.Textarea(attrs={"rows": 4})}
        help_texts = {
            "shows_task_names": "Read them first: a task may name a person or a place.",
            "shows_names": "Those supporters who agreed, by the name they chose; no amounts.",
            "signed_as": "The boat's name stands there if you leave it empty.",
        }

    def clean(self) -> dict:
        data = super().clean()
        if data.get("shows_task_names") and not data.get("shows_tasks"):
            self.add_error("shows_tasks", "Tick this too if the names of tasks shall be shown.")
        return data


class AddressForm(forms.ModelForm):
    """A new address for the page. The old one stops working."""

    class Meta:
        model = PublicPage
        fields = ["address"]
        labels = {"address": "an address of your own"}
        help_texts = {
            "address": "Easy to say and to guess. Leave it empty for one that nobody can guess."
        }

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["address"].required = False
        if self.instance.unguessable:
            self.initial["address"] = ""

    def clean_address(self) -> str:
        chosen = self.cleaned_data["address"].strip()
        self.instance.unguessable = not chosen
        if not chosen:
            return unguessable_address()
        address = slugify(chosen)
        if not address:
            raise forms.ValidationError("Nothing is left of this but signs; use letters a–z.")
        return address
