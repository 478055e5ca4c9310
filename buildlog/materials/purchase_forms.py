from __future__ import annotations

import hashlib
from decimal import Decimal
from typing import Any

from django import forms
from django.core import signing

from buildlog.fields import AmountField
from buildlog.files.models import StoredFile
from buildlog.materials.models import ZERO, Material, Purchase, PurchaseLine, Supplier
from buildlog.materials.part_forms import materials_by_kind
from buildlog.units import UnitError, find_currency, round_to_minor
from tasks.forms.fields import CHANGED_MEANWHILE, TwoTabsForm
from tasks.models import Build

KEPT = "receipt-kept"
LINE_FIELDS = ("id", "material_id", "what", "quantity", "net", "tax", "cost_kind")


class PurchaseForm(TwoTabsForm):
    """A purchase's head. The supplier is chosen or typed; a typed one is kept for next time.

    A paper that was sent with a form that was refused is kept, and need not be sent again.
    """

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
    receipt_kept = forms.CharField(widget=forms.HiddenInput, required=False, max_length=200)
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
        row: Purchase = kwargs["instance"]
        if row.supplier_id:
            kwargs["initial"] = {"supplier_name": row.supplier.name} | kwargs.get("initial", {})
        super().__init__(*args, **kwargs)
        self.build = build
        self.instance.build = build
        self.suppliers = {s.name.casefold(): s for s in build.suppliers.all()}
        self.paper: StoredFile | None = row.receipt
        self.fields["currency"].initial = build.currency
        self.fields[
            "rate"
        ].help_text = (
            f"{build.currency} for one of it. While it is not known, the totals leave it out."
        )
        if self.instance.currency == build.currency:
            self.initial["rate"] = None

    def _own_fields(self) -> list[str]:
        return [
            name for name in super()._own_fields()
            if name not in ("receipt_file", "receipt_kept", "sent_once")
        ]  # fmt: skip

    def _version(self) -> str:
        row = self.instance
        if not row.pk:
            return ""
        head = [getattr(row, field.attname) for field in row._meta.concrete_fields]
        lines = list(row.lines.order_by("pk").values_list(*LINE_FIELDS))
        return hashlib.sha256(repr((head, lines)).encode()).hexdigest()[:16]

    def _refuse_stale(self) -> None:
        super()._refuse_stale()  # names what differs in the head
        raise forms.ValidationError(CHANGED_MEANWHILE, code="stale")

    def keep_paper(self, paper: StoredFile) -> None:
        """Let the form, shown again, carry a paper that is stored already."""
        self.paper = paper
        self.data = self.data.copy()
        self.data["receipt_kept"] = signing.dumps(paper.pk, salt=KEPT)

    def find_paper(self) -> StoredFile | None:
        """The paper that was kept when this form was sent before."""
        try:
            pk = signing.loads(self.data.get("receipt_kept", ""), salt=KEPT)
        except signing.BadSignature:
            return None
        return StoredFile.objects.filter(build=self.build, pk=pk).first()

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
        if self.instance.supplier_id is None:
            return excluded | {"supplier"}
        return excluded - {"supplier"}


class LineForm(forms.ModelForm):
    quantity = AmountField(label="How many", max_digits=14, decimal_places=4,
                           min_value=Decimal("0.0001"))  # fmt: skip
    net = AmountField(label="Net", min_value=0, max_digits=14, decimal_places=4)
    tax = AmountField(label="Tax", min_value=0, max_digits=14, decimal_places=4, required=False)

    class Meta:
        model = PurchaseLine
        fields = ["material", "what", "quantity", "net", "tax", "cost_kind"]
        labels = {"what": "Or what else", "cost_kind": "Money is"}

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
        materials = list(build.materials.all())
        self.materials = Material.objects.filter(pk__in=[one.pk for one in materials])
        self.choices = materials_by_kind(materials, units=True)
        super().__init__(*args, **kwargs)

    def add_fields(self, form: forms.ModelForm, index: int | None) -> None:
        super().add_fields(form, index)
        field = form.fields["material"]
        field.queryset, field.choices = self.materials, self.choices
        if "DELETE" in form.fields:
            form.fields["DELETE"].label = "Take out"

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
    Purchase, PurchaseLine, form=LineForm, formset=BaseLineFormSet, extra=4, can_delete=True,
    can_delete_extra=False, max_num=200,
)  # fmt: skip
