"""What is bought, where, and what it costs."""

from __future__ import annotations

from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models

from buildlog.materials.models.fields import ZERO, length_field, percent_field, rate_field
from tasks.models import Build
from tasks.models.limits import check_year


class Supplier(models.Model):
    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="suppliers")
    name = models.CharField(max_length=120)
    lead_days = models.PositiveSmallIntegerField("days to deliver", default=0)
    # Empty: what the supplier's papers so far came to.
    freight_percent = percent_field("usual freight, % of net", null=True, blank=True)
    tax_percent = percent_field("tax, % of net", null=True, blank=True)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["build", "name"],
                name="supplier_once_a_build",
                violation_error_message="There is a supplier of that name already.",
            )
        ]

    def __str__(self) -> str:
        return self.name


class CostKind(models.TextChoices):
    IN_BOAT = "in-boat", "in the boat"
    USED_UP = "used-up", "used up"
    TOOLS = "tools", "tools"
    SHED = "shed", "shed"


class Material(models.Model):
    """What parts are made of or a task uses up, in the form it is sold in."""

    class Kind(models.TextChoices):
        SHEET = "sheet", "sheet"
        TIMBER = "timber", "timber"
        RESIN = "resin", "resin"
        CLOTH = "cloth", "cloth"
        FASTENER = "fastener", "fastener"
        COATING = "coating", "coating"
        EQUIPMENT = "equipment", "equipment"

    class Unit(models.TextChoices):
        SHEET = "sheet", "sheet"
        LENGTH = "length", "length"
        KG = "kg", "kg"
        LITRE = "litre", "litre"
        METRE = "m", "m"
        EACH = "each", "each"

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="materials")
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=10, choices=Kind)
    unit = models.CharField("counted in", max_length=6, choices=Unit)
    length_mm = length_field("length")
    width_mm = length_field("width")
    thickness_mm = length_field("thickness")
    nominal_width_mm = length_field("width it is priced by")
    nominal_thickness_mm = length_field("thickness it is priced by")
    density = models.DecimalField(
        "density, kg/m³", max_digits=8, decimal_places=2, null=True, blank=True,
        validators=[MinValueValidator(Decimal("0.01"))],
    )  # fmt: skip
    areal_weight = models.DecimalField(
        "weight, g/m²", max_digits=8, decimal_places=2, null=True, blank=True,
        validators=[MinValueValidator(Decimal("0.01"))],
    )  # fmt: skip
    each_kg = models.DecimalField(
        "weight of one, kg", max_digits=10, decimal_places=4, null=True, blank=True,
        validators=[MinValueValidator(Decimal("0.0001"))],
    )  # fmt: skip
    coverage = models.DecimalField(
        "covers, m² per litre and coat", max_digits=8, decimal_places=3, null=True, blank=True,
        validators=[MinValueValidator(Decimal("0.001"))],
    )  # fmt: skip
    pack = models.DecimalField(
        "sold in packs of", max_digits=12, decimal_places=3, default=Decimal(1),
        validators=[MinValueValidator(Decimal("0.001"))],
    )  # fmt: skip
    waste_percent = percent_field("allowance for waste, % of net", default=Decimal(10))
    cost_kind = models.CharField(
        "money is", max_length=8, choices=CostKind, default=CostKind.IN_BOAT
    )
    supplier = models.ForeignKey(
        Supplier, on_delete=models.SET_NULL, null=True, blank=True, related_name="materials"
    )
    lead_days = models.PositiveSmallIntegerField("days to deliver", null=True, blank=True)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["kind", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["build", "name"],
                name="material_once_a_build",
                violation_error_message="There is a material of that name already.",
            )
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def counted_already(self) -> bool:
        """Whether anything is written down in its unit, which must then stay."""
        return (
            self.moves.exists()
            or self.prices.exists()
            or self.purchase_lines.exists()
            or self.parts.filter(quantity__isnull=False).exists()
        )


class Price(models.Model):
    """What a supplier asks for one unit of a material, from a date on."""

    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="prices")
    supplier = models.ForeignKey(Supplier, on_delete=models.SET_NULL, null=True, blank=True)
    day = models.DateField("from", validators=[check_year])
    net = models.DecimalField(
        "net, for one", max_digits=14, decimal_places=4, validators=[MinValueValidator(ZERO)]
    )
    currency = models.CharField(max_length=3)
    rate = rate_field()
    rate_day = models.DateField(null=True, blank=True, validators=[check_year])

    class Meta:
        ordering = ["-day", "-pk"]

    def __str__(self) -> str:
        return f"{self.net} {self.currency} ({self.day})"
