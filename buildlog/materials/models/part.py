"""What the boat is made of."""

from __future__ import annotations

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from buildlog.materials.models.catalogue import Material
from buildlog.materials.models.fields import length_field, percent_field
from tasks.models import Build, Task


class Part(models.Model):
    """Something the boat has, or an amount a task uses: made of a material, belongs to a task."""

    class Grain(models.TextChoices):
        ANY = "any", "any way"
        ALONG = "along", "along its length"
        ACROSS = "across", "across its length"

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="parts")
    name = models.CharField(max_length=120)
    task = models.ForeignKey(
        Task, on_delete=models.RESTRICT, related_name="parts", null=True, blank=True
    )
    material = models.ForeignKey(Material, on_delete=models.RESTRICT, related_name="parts")
    count = models.PositiveIntegerField(default=1, validators=[MinValueValidator(1)])
    mirrored = models.BooleanField("as mirrored pairs", default=False)
    length_mm = length_field("length")
    width_mm = length_field("width")
    thickness_mm = length_field("thickness")
    layers = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])
    quantity = models.DecimalField(
        "amount for each, where it has no shape", max_digits=14, decimal_places=4,
        null=True, blank=True, validators=[MinValueValidator(Decimal("0.0001"))],
    )  # fmt: skip
    scarf_ratio = models.DecimalField(
        "may be scarfed, slope to one", max_digits=5, decimal_places=2, null=True, blank=True,
        validators=[MinValueValidator(Decimal(4)), MaxValueValidator(Decimal(50))],
    )  # fmt: skip
    grain = models.CharField("grain", max_length=6, choices=Grain, default=Grain.ANY)
    allowance_percent = percent_field("its own allowance, %", null=True, blank=True)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["task__stage__order", "task__order", "name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["build", "name", "task", "material"],
                nulls_distinct=False,
                name="part_once_a_task",
                violation_error_message="That task has a part of this name and material already.",
            )
        ]

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        if self.mirrored and self.count and self.count % 2:
            raise ValidationError({"count": "Mirrored pairs come in twos: make the count even."})
