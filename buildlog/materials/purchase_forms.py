from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from buildlog.fields import AmountField
from buildlog.materials.models import ZERO, Material, Purchase, PurchaseLine, Supplier
from buildlog.units import UnitError, find_currency, round_to_minor
from tasks.models import Build


class PurchaseForm(forms.ModelForm):
    """A purchase's head. The supplier is chosen or typed; a typed one is kept for next time."""

    supplier_name = forms.CharField(
        label="Supplier", max_length=120, widget=forms.TextInput(attrs={"list": "suppliers"})
    )
    freight = AmountField(label="Freight", min_value=0, required=False, max_digits=14,
                          decimal_places=4)  # fmt: skip
    tax = AmountField(label="Tax not given by line", min_value=0, required=False, max_digits=14,
                      decimal_places=4)  # fmt: skip
    rate = AmountField(label="Rate", required=False, max_digits=14, decimal_places=6,
                       min_value=Decimal("0.000001"))  # fmt: skip
    receipt_file = forms.FileField(
        label="Receipt", required=False,
        help_text="A photo or PDF of the paper. It is kept as it is.",
    )  # fmt: skip
    sent_once = forms.CharField(widget=forms.HiddenInput, required=False, max_length=64)

    class Meta:
        model = Purchase
        fields = [
            "supplier_name", "receipt_number", "ordered_on", "paid_on", "arrived_on", "currency",
            "rate", "rate_day", "freight", "tax", "receipt_file", "notes",
        ]  # fmt: skip
        widgets = {
            name: forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
            for name in ("ordered_on", "paid_on", "arrived_on", "rate_day")
        } | {"notes": forms.Textarea(attrs={"rows": 2})}
        help_texts = {
            "paid_on": "Empty while it is only ordered: then it counts as committed.",
            "arrived_on": "Once it is in the shed it counts as stock.",
            "tax": "Spread over the lines by their net value, as freight is.",
        }

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.build = build
        self.instance.build = build
        self.suppliers = {s.name.casefold(): s for s in build.suppliers.all()}
        if self.instance.supplier_id:
            self.initial["supplier_name"] = self.instance.supplier.name
        self.fields["currency"].initial = build.currency
        self.fields["rate"].help_text = (
            f"What one of that currency was in {build.currency}. Empty for {build.currency}; "
            "without it the purchase is left out of the totals, and they say so."
        )
        if self.instance.currency == build.currency:
            self.initial["rate"] = None

    def clean_currency(self) -> str:
        try:
            return find_currency(self.cleaned_data["currency"].strip().upper()).code
        except UnitError as error:
            raise forms.ValidationError(str(error)) from error

    def clean_freight(self) -> Decimal:
        return self.cleaned_data["freight"] or ZERO

    def clean_tax(self) -> Decimal:
        return self.cleaned_data["tax"] or ZERO

    def clean_supplier_name(self) -> str:
        name = self.cleaned_data["supplier_name"]
        self.instance.supplier = self.suppliers.get(name.casefold()) or Supplier(
            build=self.build, name=name
        )
        return name

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("currency") == self.build.currency:
            cleaned["rate"] = Decimal(1)
        ordered, arrived = cleaned.get("ordered_on"), cleaned.get("arrived_on")
        if ordered and arrived and arrived < ordered:
            self.add_error("arrived_on", "It cannot arrive before it was ordered.")
        if currency := cleaned.get("currency"):
            for name in ("freight", "tax"):
                amount = cleaned.get(name)
                if amount and amount != round_to_minor(amount, currency):
                    self.add_error(name, f"This is finer than {currency} goes.")
        return cleaned

    def _get_validation_exclusions(self) -> set[str]:
        # The supplier is set by hand above; a new one is saved only with the purchase.
        excluded = super()._get_validation_exclusions()
        return (
            excluded | {"supplier"}
            if self.instance.supplier_id is None
            else (excluded - {"supplier", "build"})
        )


class LineForm(forms.ModelForm):
    quantity = AmountField(label="How many", max_digits=14, decimal_places=4,
                           min_value=Decimal("0.0001"))  # fmt: skip
    net = AmountField(label="Net", min_value=0, max_digits=14, decimal_places=4)
    tax = AmountField(label="Tax", min_value=0, max_digits=14, decimal_places=4, required=False)

    class Meta:
        model = PurchaseLine
        fields = ["material", "what", "quantity", "net", "tax", "cost_kind"]
        labels = {"what": "or what else", "cost_kind": "Money is"}

    def clean_tax(self) -> Decimal:
        return self.cleaned_data["tax"] or ZERO

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not cleaned.get("material") and not cleaned.get("what"):
            raise forms.ValidationError("Choose a material, or say what it is.")
        if (material := cleaned.get("material")) and "cost_kind" not in self.changed_data:
            cleaned["cost_kind"] = material.cost_kind
        return cleaned


class BaseLineFormSet(forms.BaseInlineFormSet):
    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        self.materials = list(build.materials.all())
        super().__init__(*args, **kwargs)

    def add_fields(self, form: forms.ModelForm, index: int | None) -> None:
        super().add_fields(form, index)
        field = form.fields["material"]
        field.queryset = Material.objects.filter(pk__in=[m.pk for m in self.materials])
        choices = [("", "–")] + [(m.pk, f"{m.name} ({m.unit})") for m in self.materials]
        field.choices = choices

    def clean(self) -> None:
        super().clean()
        if any(self.errors):
            return
        kept = [
            form for form in self.forms
            if form not in self.deleted_forms and (form.has_changed() or form.instance.pk)
        ]  # fmt: skip
        if not kept:
            raise forms.ValidationError("A purchase needs at least one line.")

    def lines(self) -> list[PurchaseLine]:
        """The lines as they shall stand, new and old, without those ticked to go."""
        return [
            form.instance for form in self.forms
            if form not in self.deleted_forms and (form.instance.pk or form.has_changed())
        ]  # fmt: skip


LineFormSet = forms.inlineformset_factory(
    Purchase, PurchaseLine, form=LineForm, formset=BaseLineFormSet, extra=4, can_delete=True
)
