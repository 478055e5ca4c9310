"""Form fields that read what builders write: amounts with either decimal mark, lengths, hours."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from buildlog.units import UnitError, parse_decimal


def typed(number: Decimal) -> str:
    """A number as it can be typed again: no idle zeros, and never open to two readings."""
    text = f"{number.normalize():f}"
    whole, point, part = text.partition(".")
    if point and len(part) == 3 and whole.lstrip("-") != "0":
        text += "0"  # 1.250 might be read as twelve hundred and fifty; 1.2500 may not
    return text


class AmountField(forms.DecimalField):
    """A decimal amount, with a comma or a point before the decimals: 240,38 or 1,234.50."""

    widget = forms.TextInput

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self.widget.attrs.setdefault("inputmode", "decimal")
        self.widget.attrs.setdefault("autocomplete", "off")

    def to_python(self, value: Any) -> Decimal | None:
        if value in self.empty_values:
            return None
        try:
            return parse_decimal(str(value))
        except UnitError as error:
            raise ValidationError(str(error), code=error.rule) from error

    def prepare_value(self, value: Any) -> Any:
        return typed(value) if isinstance(value, Decimal) else value

    def has_changed(self, initial: Any, data: Any) -> bool:
        try:
            return self.to_python(initial) != self.to_python(data)
        except ValidationError:
            return True
