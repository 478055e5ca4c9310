"""What was ordered and paid."""

from __future__ import annotations

from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q

from buildlog.files.models import StoredFile
from buildlog.materials.models.catalogue import CostKind, Material, Supplier
from buildlog.materials.models.fields import ZERO, rate_field
from tasks.models import Build
from tasks.models.limits import check_year


class Purchase(models.Model):
    """What was ordered from a supplier on one paper. Paid, or only committed."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="purchases")
    supplier = models.ForeignKey(Supplier, on_delete=models.RESTRICT, related_name="purchases")
    receipt_number = models.CharField("receipt number", max_length=60, blank=True)
    ordered_on = models.DateField("ordered", validators=[check_year])
    paid_on = models.DateField("paid", null=True, blank=True, validators=[check_year])
    arrived_on = models.DateField("arrived", null=True, blank=True, validators=[check_year])
    currency = models.CharField(max_length=3)
    rate = rate_field()
    rate_day = models.DateField("rate of", null=True, blank=True, validators=[check_year])
    freight = models.DecimalField(max_digits=14, decimal_places=4, default=ZERO,
        validators=[MinValueValidator(ZERO)])  # fmt: skip
    tax = models.DecimalField("tax not given by line", max_digits=14, decimal_places=4,
        default=ZERO, validators=[MinValueValidator(ZERO)])  # fmt: skip
    receipt = models.ForeignKey(
        StoredFile, on_delete=models.RESTRICT, null=True, blank=True, related_name="+"
    )
    notes = models.TextField(blank=True)
    key = models.CharField("sent-once key", max_length=64, blank=True, editable=False)
    save_key = models.CharField(
        "key of the last save", max_length=64, blank=True, editable=False, db_index=True
    )
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-ordered_on", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["build", "supplier", "receipt_number", "ordered_on"],
                condition=~Q(receipt_number=""),
                name="receipt_once",
                violation_error_message="A purchase with that receipt number is in already.",
            ),
            models.UniqueConstraint(
                fields=["build", "key"], condition=~Q(key=""), name="purchase_sent_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.supplier} {self.ordered_on} {self.receipt_number}".strip()


class PurchaseLine(models.Model):
    purchase = models.ForeignKey(Purchase, on_delete=models.CASCADE, related_name="lines")
    material = models.ForeignKey(
        Material, on_delete=models.RESTRICT, null=True, blank=True, related_name="purchase_lines"
    )
    what = models.CharField("what", max_length=200, blank=True)
    quantity = models.DecimalField(
        max_digits=14, decimal_places=4, validators=[MinValueValidator(Decimal("0.0001"))]
    )
    net = models.DecimalField("net, whole line", max_digits=14, decimal_places=4,
        validators=[MinValueValidator(ZERO)])  # fmt: skip
    tax = models.DecimalField("tax of the line", max_digits=14, decimal_places=4, default=ZERO,
        validators=[MinValueValidator(ZERO)])  # fmt: skip
    cost_kind = models.CharField(max_length=8, choices=CostKind, default=CostKind.IN_BOAT)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(material__isnull=False) | ~Q(what=""), name="line_says_what"
            )
        ]

    def __str__(self) -> str:
        return self.what or str(self.material)
