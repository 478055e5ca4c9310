"""Form fields that read what builders write: amounts, lengths, layers, counts."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from buildlog.units import (
    Count,
    Layers,
    System,
    UnitError,
    exact_length,
    parse_count,
    parse_decimal,
    parse_layers,
    parse_length,
    typed_number,
)
from tasks.forms.fields import MeaningField
from tasks.models import Build


class AmountField(MeaningField, forms.DecimalField):
    """A decimal amount, with a comma or a point before the decimals: 240,38 or 1,234.50."""

    widget = forms.TextInput

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self.widget.attrs.setdefault("inputmode", "decimal")
        self.widget.attrs.setdefault("autocomplete", "off")

    def to_python(self, value: Any) -> Any:
        if value in self.empty_values:
            return None
        try:
            return parse_decimal(str(value))
        except UnitError as error:
            raise ValidationError(str(error), code=error.rule) from error

    def prepare_value(self, value: Any) -> Any:
        return typed_number(value) if isinstance(value, Decimal) else value


class LengthField(MeaningField):
    """A length as builders write it: 1 3/4", 4'-6 1/2", 18mm, 1.22 m. Exact millimetres come out.

    A form says `field.measured_in(build)`: a bare number is then in the build's usual unit, and
    what is shown for editing reads back as exactly the same length.
    """

    widget = forms.TextInput
    unit = "mm"
    system: System = "metric"

    def __init__(self, **options: Any) -> None:
        options.setdefault("required", False)
        super().__init__(**options)
        self.widget.attrs.setdefault("autocomplete", "off")

    def measured_in(self, build: Build) -> None:
        """Read and show lengths in the units of this build."""
        imperial = build.length_system == Build.LengthSystem.IMPERIAL
        self.system, self.unit = ("imperial", "in") if imperial else ("metric", "mm")

    def to_python(self, value: Any) -> Any:
        if value in self.empty_values or isinstance(value, Decimal | Layers):
            return value or None
        try:
            return self._read(str(value).strip())
        except UnitError as error:
            raise ValidationError(str(error), code=error.rule) from error

    def _read(self, text: str) -> Any:
        return some(parse_length(text, self.unit), text) if text else None

    def prepare_value(self, value: Any) -> Any:
        return exact_length(value, self.system) if isinstance(value, Decimal) else value


class LayersField(LengthField):
    """A thickness that may be laid up: 2x9mm is two layers of 9 mm. `Layers` come out."""

    def _read(self, text: str) -> Layers | None:
        if not text:
            return None
        layers = parse_layers(text, self.unit)
        some(layers.each, text)
        return layers

    def has_changed(self, initial: Any, data: Any) -> bool:
        before = Layers(1, initial) if isinstance(initial, Decimal) else initial
        return super().has_changed(before, data)


def some(length: Decimal, text: str) -> Decimal:
    """The length, if it is one; nought is none."""
    if not length:
        raise ValidationError(f"“{text}” is no length. Leave it empty if it is not known.")
    return length


class CountField(MeaningField):
    """A number of pieces: 6, 2 (p+s), 3 pairs. A `Count` comes out; a mirrored pair counts two."""

    widget = forms.TextInput

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self.widget.attrs.setdefault("autocomplete", "off")

    def to_python(self, value: Any) -> Count | None:
        if value in self.empty_values or isinstance(value, Count):
            return value or None
        if isinstance(value, int):
            return Count(value)
        try:
            count = parse_count(str(value))
        except UnitError as error:
            raise ValidationError(str(error), code=error.rule) from error
        if not count.number:
            raise ValidationError("There is at least one of it.", code="no-pieces")
        return count
