from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from itertools import groupby
from typing import Any

from django import forms
from django.db import transaction

from buildlog.fields import AmountField, CountField, LayersField, LengthField
from buildlog.materials.amounts import read_amount
from buildlog.materials.models import Material, Part
from buildlog.materials.twins import NamedForm
from buildlog.materials.words import sizes
from buildlog.units import Count, Layers, UnitError, typed_number
from tasks.forms.fields import TaskField
from tasks.models import Build, Task


def materials_by_kind(materials: Iterable[Material], units: bool = False) -> list[Any]:
    """Choices of a material, by kind; with `units`, what each is counted in beside it."""
    groups = groupby(sorted(materials, key=_by_kind), key=lambda one: one.kind)
    named = [
        (
            Material.Kind(kind).label.capitalize(),
            [
                (one.pk, f"{one.name}, in {one.get_unit_display()}" if units else one.name)
                for one in rows
            ],
        )
        for kind, rows in groups
    ]
    return [("", "Choose…"), *named]


def _by_kind(material: Material) -> tuple[int, str]:
    return Material.Kind.values.index(material.kind), material.name


class AmountTextField(forms.CharField):
    """An amount with or without its unit, to be read once the material is known."""

    def __init__(self, **options: Any) -> None:
        super().__init__(required=False, max_length=40, **options)
        self.widget.attrs.setdefault("autocomplete", "off")

    def prepare_value(self, value: Any) -> Any:
        return typed_number(value) if isinstance(value, Decimal) else value

    def has_changed(self, initial: Any, data: Any) -> bool:
        return super().has_changed(self.prepare_value(initial), data)


class PartFields(NamedForm):
    """What the form of one part and a row of several have in common."""

    count = CountField(label="Count", initial=1)
    length_mm = LengthField(label="Length")
    width_mm = LengthField(label="Width")
    thickness_mm = LayersField(label="Thickness")
    quantity = AmountTextField(label="Amount for each")

    def __init__(self, *args: Any, build: Build, materials: list[Material], **kwargs: Any) -> None:
        kwargs["instance"] = kwargs.get("instance") or Part(build=build)
        super().__init__(*args, **kwargs)
        self.build = build
        for field in self.fields.values():
            if isinstance(field, LengthField):
                field.measured_in(build)
        self.fields["material"].queryset = Material.objects.filter(build=build)
        self.fields["material"].choices = materials_by_kind(materials)

    def clean(self) -> dict[str, Any]:
        # First of all: what is refused as stale must still be what the row can hold.
        self._read_count(self.cleaned_data)
        self._read_thickness(self.cleaned_data)
        self._read_amount(self.cleaned_data)
        return super().clean()

    def _says(self, row: Any) -> list[Any]:
        return [*super()._says(row), row.layers]

    def _read_count(self, cleaned: dict[str, Any]) -> None:
        count = cleaned.get("count")
        if isinstance(count, Count):
            cleaned["count"] = count.number
            cleaned["mirrored"] = cleaned.get("mirrored") or count.mirrored

    def _read_thickness(self, cleaned: dict[str, Any]) -> None:
        thickness = cleaned.get("thickness_mm")
        if not isinstance(thickness, Layers):
            return
        cleaned["thickness_mm"] = thickness.each
        layers = cleaned.get("layers") or 1
        if thickness.count > 1 and layers not in (1, thickness.count):
            self.add_error(
                "layers", f"The thickness says {thickness.count} layers, this box {layers}."
            )
        elif thickness.count > 1:
            cleaned["layers"] = self.instance.layers = thickness.count  # a row has no such box
        if material := cleaned.get("material"):
            self._check_sheet(material, thickness)

    def _check_sheet(self, material: Material, thickness: Layers) -> None:
        """A sheet is as thick as it is sold; what is thicker is more layers of it."""
        sheet = material.thickness_mm
        if material.kind != Material.Kind.SHEET or not sheet:
            return
        if abs(thickness.each - sheet) <= sheet / 10:  # 3/8" of a 9 mm sheet is meant so
            return
        times = round(thickness.each / sheet)
        sold = f"{material.name} is {sizes(self.build, sheet)} thick"
        if times > 1 and abs(thickness.each - times * sheet) <= times * sheet / 10:
            self.add_error("thickness_mm", f"{sold}: write {times}x{sizes(self.build, sheet)}.")
        else:
            self.add_error("thickness_mm", f"{sold}. Leave this empty, or choose another material.")

    def _read_amount(self, cleaned: dict[str, Any]) -> None:
        text, material = cleaned.get("quantity"), cleaned.get("material")
        cleaned["quantity"] = None
        if not text or material is None:
            return
        try:
            cleaned["quantity"] = read_amount(text, material)
        except UnitError as error:
            self.add_error("quantity", str(error))
        else:
            if not cleaned["quantity"]:
                self.add_error(
                    "quantity", "Nothing is no amount. Leave it empty if it has a shape."
                )


class PartForm(PartFields):
    """One part. Lengths in any way a builder writes them; 2x9mm is two layers of 9 mm."""

    task = TaskField(label="Task")
    scarf_ratio = AmountField(
        label="May be scarfed, slope to one", required=False, max_digits=5, decimal_places=2,
        min_value=4, max_value=50,
        help_text="8 is 8:1. Then it may be longer than what is sold, and the joints are counted.",
    )  # fmt: skip
    allowance_percent = AmountField(
        label="Its own allowance, %", required=False, max_digits=6, decimal_places=3,
        min_value=0, max_value=500, help_text="In place of the material's.",
    )  # fmt: skip

    class Meta:
        model = Part
        fields = [
            "name", "task", "material", "count", "mirrored", "length_mm", "width_mm",
            "thickness_mm", "layers", "quantity", "scarf_ratio", "grain", "allowance_percent",
            "notes",
        ]  # fmt: skip
        labels = {
            "name": "Part", "mirrored": "Port and starboard: mirrored pairs",
            "layers": "Layers, plies or coats",
        }  # fmt: skip
        help_texts = {"mirrored": "A pair counts two."}
        widgets = {
            "notes": forms.Textarea(attrs={"rows": 2}),
            "layers": forms.TextInput(attrs={"inputmode": "numeric"}),
        }

    def __init__(self, *args: Any, build: Build, **kwargs: Any) -> None:
        part = kwargs.get("instance")
        if part and part.task_id:
            kwargs["initial"] = {"task": part.task} | (kwargs.get("initial") or {})
        super().__init__(*args, build=build, **kwargs)
        self.fields["task"].build = build
        self.fields["layers"].required = False
        self.fields["count"].help_text = "6, or 2 (p+s), or 3 pairs."
        self.fields["thickness_mm"].help_text = "2x9mm is two layers. A sheet has its own."
        self.fields["quantity"].help_text = (
            "Where it has no shape: screws, mixed resin, an engine. In what the material is "
            "counted in, or with a unit: 500 g, 2 packs."
        )

    def clean_layers(self) -> int:
        layers = self.cleaned_data["layers"]
        return 1 if layers is None else layers


class PartRowForm(PartFields):
    """A part in a list of several."""

    class Meta:
        model = Part
        fields = [
            "name", "material", "count", "mirrored", "length_mm", "width_mm", "thickness_mm",
            "quantity",
        ]  # fmt: skip
        labels = {"name": "Part", "mirrored": "Pairs"}

    def __init__(self, *args: Any, task: Task | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.instance.task = task

    def _get_validation_exclusions(self) -> set[str]:
        return super()._get_validation_exclusions() - {"task"}


class BasePartRows(forms.BaseFormSet):
    def __init__(self, *args: Any, build: Build, task: Task | None, **kwargs: Any) -> None:
        self.build = build
        materials = list(build.materials.all())
        more = {"build": build, "task": task, "materials": materials}
        super().__init__(*args, form_kwargs=more, **kwargs)

    def clean(self) -> None:
        seen: dict[Any, int] = {}
        for number, form in enumerate(self.forms, 1):
            if not form.has_changed() or not form.cleaned_data:
                continue
            key = (form.instance.name, form.instance.material_id)
            first = seen.setdefault(key, number)
            if first != number:
                form.add_error("name", f"Line {first} has that part of that material already.")

    @property
    def filled(self) -> list[PartRowForm]:
        return [form for form in self.forms if form.has_changed()]

    def sent_before(self) -> bool:
        """Whether an earlier click added just these parts."""
        return bool(self.filled) and all(form.twin() for form in self.filled)

    def save(self) -> list[Part]:
        """Add the parts that were filled in, all or none."""
        with transaction.atomic():
            return [form.save() for form in self.filled]


PartRows = forms.formset_factory(PartRowForm, formset=BasePartRows, extra=6, max_num=100)


class TaskChoice(forms.Form):
    """The task that several parts belong to."""

    task = TaskField(label="Task that makes them")

    def __init__(self, *args: Any, build: Build, task: Task | None, **kwargs: Any) -> None:
        super().__init__(*args, initial={"task": task}, **kwargs)
        self.fields["task"].build = build
