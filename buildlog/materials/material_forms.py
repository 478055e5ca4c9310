from __future__ import annotations

import datetime as dt
import json
from decimal import Decimal
from typing import Any

from django import forms

from buildlog.fields import AmountField, LengthField
from buildlog.materials.models import Material, Price, Supplier
from buildlog.materials.twins import NamedForm
from buildlog.units import UnitError, find_currency
from tasks.models import Build

Kind, Unit = Material.Kind, Material.Unit
UNITS: dict[str, tuple[str, ...]] = {
    Kind.SHEET: (Unit.SHEET,),
    Kind.TIMBER: (Unit.LENGTH, Unit.METRE),
    Kind.RESIN: (Unit.KG, Unit.LITRE),
    Kind.CLOTH: (Unit.METRE,),
    Kind.FASTENER: (Unit.EACH, Unit.KG),
    Kind.COATING: (Unit.LITRE, Unit.KG),
    Kind.EQUIPMENT: (Unit.EACH, Unit.METRE, Unit.KG, Unit.LITRE),
}
"""What each kind may be counted in, the usual first."""
KINDS_OF_FIELD: dict[str, tuple[str, ...]] = {
    "length_mm": (Kind.SHEET, Kind.TIMBER),
    "width_mm": (Kind.SHEET, Kind.TIMBER, Kind.CLOTH),
    "thickness_mm": (Kind.SHEET, Kind.TIMBER),
    "nominal_width_mm": (Kind.TIMBER,),
    "nominal_thickness_mm": (Kind.TIMBER,),
    "density": (Kind.SHEET, Kind.TIMBER, Kind.RESIN, Kind.COATING),
    "areal_weight": (Kind.RESIN, Kind.CLOTH),
    "coverage": (Kind.COATING,),
    "each_kg": (Kind.FASTENER, Kind.EQUIPMENT),
}
"""Which measures matter for which kind: the others are kept, but not asked for."""


def amount(label: str, least: str, digits: int, places: int, **options: Any) -> AmountField:
    return AmountField(
        label=label, required=False, min_value=Decimal(least), max_digits=digits,
        decimal_places=places, **options,
    )  # fmt: skip


class MaterialForm(NamedForm):
    """A material in the form it is sold in. What its stock is counted in stands once it is used."""

    length_mm = LengthField(
        label="Length", help_text="Of a sheet, or of the lengths timber comes in."
    )
    width_mm = LengthField(label="Width", help_text="Of cloth: of the roll.")
    thickness_mm = LengthField(label="Thickness")
    nominal_width_mm = LengthField(label="Width it is priced by")
    nominal_thickness_mm = LengthField(
        label="Thickness it is priced by", help_text="Where timber is sold by its sawn size."
    )
    density = amount("Density, kg/m³", "0.01", 8, 2, help_text="For weights.")
    areal_weight = amount(
        "Weight of a square metre, g", "0.01", 8, 2,
        help_text="Of the cloth. For resin: what a coat or ply takes up, mixed.",
    )  # fmt: skip
    coverage = amount("Covers, m² a litre in one coat", "0.001", 8, 3)
    each_kg = amount("Weight of one, kg", "0.0001", 10, 4)
    pack = amount(
        "Sold in packs of", "0.001", 12, 3, help_text="200 screws, 2.5 litres. Singly: 1."
    )
    waste_percent = amount(
        "Allowance for waste, % of net", "0", 6, 3, max_value=500,
        help_text="Offcuts, spills, drips: what is bought beyond what goes into the boat.",
    )  # fmt: skip

    class Meta:
        model = Material
        fields = [
            "name", "kind", "unit", "length_mm", "width_mm", "thickness_mm", "nominal_width_mm",
            "nominal_thickness_mm", "density", "areal_weight", "coverage", "each_kg", "pack",
            "waste_percent", "cost_kind", "supplier", "lead_days", "notes",
        ]  # fmt: skip
        labels = {"name": "Material", "unit": "Counted in", "cost_kind": "Money is"}
        help_texts = {"lead_days": "Empty: those of the supplier."}
        widgets = {
            "notes": forms.Textarea(attrs={"rows": 2}),
            "lead_days": forms.TextInput(attrs={"inputmode": "numeric"}),
        }

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        kwargs["instance"] = kwargs.get("instance") or Material(build=build)
        super().__init__(*args, **kwargs)
        self.was_unit = self.instance.unit
        for field in self.fields.values():
            if isinstance(field, LengthField):
                field.measured_in(build)
        self.fields["supplier"].queryset = Supplier.objects.filter(build=build)
        self.fields["supplier"].empty_label = "none yet"
        for name in ("kind", "unit"):
            self.fields[name].choices = [("", "Choose…"), *self.fields[name].choices[1:]]

    @property
    def units(self) -> str:
        """For the script that leaves only the units of the chosen kind."""
        return json.dumps(UNITS)

    @property
    def measures(self) -> list[tuple[forms.BoundField, str, str]]:
        """The measures with the kinds they are for: for the script, and in words."""
        return [
            (self[name], " ".join(kinds), ", ".join(kinds))
            for name, kinds in KINDS_OF_FIELD.items()
        ]

    def clean_pack(self) -> Decimal:
        return self.cleaned_data["pack"] or Decimal(1)

    def clean_waste_percent(self) -> Decimal:
        return self.cleaned_data["waste_percent"] or Decimal(0)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        kind, unit = cleaned.get("kind"), cleaned.get("unit")
        if kind and unit and unit not in UNITS[kind]:
            words = " or ".join(Unit(one).label for one in UNITS[kind])
            self.add_error("unit", f"{Kind(kind).label.capitalize()} is counted in {words}.")
        elif unit and self.was_unit and unit != self.was_unit and self.instance.counted_already:
            self.add_error(
                "unit",
                f"Its stock, prices, purchases or parts are counted in {Unit(self.was_unit).label} "
                "already. Add another material for what is counted otherwise.",
            )
        return cleaned


class PriceForm(forms.ModelForm):
    """What a supplier asks from a day on. Prices are added; the older ones stay."""

    net = AmountField(label="Net, for one", min_value=0, max_digits=14, decimal_places=4)
    rate = amount("Rate", "0.000001", 14, 6)

    class Meta:
        model = Price
        fields = ["net", "currency", "rate", "day", "supplier"]
        widgets = {"day": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}

    def __init__(self, *args: Any, build: Build, material: Material, today: dt.date, **kwargs: Any):
        row = Price(
            material=material, currency=build.currency, day=today, supplier=material.supplier
        )
        super().__init__(*args, instance=row, **kwargs)
        self.build = build
        self.fields["supplier"].queryset = Supplier.objects.filter(build=build)
        self.fields["supplier"].empty_label = "none in particular"
        self.fields["net"].label = f"Net, for one {material.get_unit_display()}"
        self.fields["net"].help_text = "Without tax and freight: those are the supplier's."
        self.initial["rate"] = None
        self.fields[
            "rate"
        ].help_text = (
            f"What one of another currency is in {build.currency}. Without it, it is no price yet."
        )

    def clean_currency(self) -> str:
        try:
            return find_currency(self.cleaned_data["currency"].strip().upper()).code
        except UnitError as error:
            raise forms.ValidationError(str(error)) from error

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("currency") == self.build.currency:
            cleaned["rate"] = Decimal(1)
        return cleaned

    def save(self, commit: bool = True) -> Price:
        """Add it, unless it stands there already, as after a second click."""
        price = self.instance
        price.rate = self.cleaned_data["rate"]
        price.rate_day = price.day if price.currency != self.build.currency and price.rate else None
        known = Price.objects.filter(
            material=price.material, day=price.day, net=price.net, currency=price.currency,
            supplier=price.supplier, rate=price.rate,
        )  # fmt: skip
        return known.first() or super().save(commit)


AS_ON_PAPERS = "Empty: as on their papers so far."


class SupplierForm(NamedForm):
    freight_percent = amount(
        "Usual freight, % of net", "0", 6, 3, max_value=500, help_text=AS_ON_PAPERS
    )
    tax_percent = amount("Tax, % of net", "0", 6, 3, max_value=500, help_text=AS_ON_PAPERS)

    class Meta:
        model = Supplier
        fields = ["name", "lead_days", "freight_percent", "tax_percent", "notes"]
        labels = {"name": "Supplier"}
        help_texts = {"lead_days": "From the order to the shed."}
        widgets = {
            "notes": forms.Textarea(attrs={"rows": 2}),
            "lead_days": forms.TextInput(attrs={"inputmode": "numeric"}),
        }

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        kwargs["instance"] = kwargs.get("instance") or Supplier(build=build)
        super().__init__(*args, **kwargs)
        self.fields["lead_days"].required = False

    def clean_lead_days(self) -> int:
        return self.cleaned_data["lead_days"] or 0
