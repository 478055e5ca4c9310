"""The material a finished task used, to be confirmed or corrected."""

from __future__ import annotations

from typing import Any

from django import forms

from buildlog.fields import AmountField
from buildlog.materials.using import Use


class UseForm(forms.Form):
    """One amount for each material that the finish proposes; nothing used is 0."""

    def __init__(self, *args: Any, uses: list[Use], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.proposed = {f"use-{use.material.pk}": use for use in uses}
        for name, use in self.proposed.items():
            self.fields[name] = AmountField(
                label=f"{use.material.name}, {use.material.get_unit_display()}",
                initial=use.amount,
                min_value=0,
                max_digits=14,
                decimal_places=4,
            )

    def uses(self) -> list[Use]:
        return [Use(use.material, self.cleaned_data[name]) for name, use in self.proposed.items()]
