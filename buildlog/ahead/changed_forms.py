from __future__ import annotations

from django import forms


class BaselineForm(forms.Form):
    """A name under which the plan is kept as it stands."""

    name = forms.CharField(
        label="Keep the plan as it stands, under the name",
        max_length=80,
        help_text="E.g. before the winter, or when the hull was turned.",
    )
    compared = forms.BooleanField(label="compare with it from now on", required=False, initial=True)

    def clean_name(self) -> str:
        return " ".join(self.cleaned_data["name"].split())
