from __future__ import annotations

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from buildlog.files.models import StoredFile
from tasks.models import Act, Build, Person, Task

ZERO = Decimal(0)


def length_field(label: str) -> models.DecimalField:
    """A length in millimetres; six decimals hold 1/64 inch exactly."""
    return models.DecimalField(
        label,
        max_digits=14,
        decimal_places=6,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.000001"))],
    )


def percent_field(label: str, **options) -> models.DecimalField:
    return models.DecimalField(
        label,
        max_digits=6,
        decimal_places=3,
        validators=[MinValueValidator(ZERO), MaxValueValidator(Decimal(500))],
        **options,
    )


def rate_field() -> models.DecimalField:
    """What one of a currency is in the build's. Empty: not known yet, so left out of totals."""
    return models.DecimalField(
        "rate: build currency for one of it",
        max_digits=14,
        decimal_places=6,
        null=True,
        blank=True,
        default=Decimal(1),
        validators=[MinValueValidator(Decimal("0.000001"))],
    )


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
    day = models.DateField("from")
    net = models.DecimalField(
        "net, for one", max_digits=14, decimal_places=4, validators=[MinValueValidator(ZERO)]
    )
    currency = models.CharField(max_length=3)
    rate = rate_field()
    rate_day = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["-day", "-pk"]

    def __str__(self) -> str:
        return f"{self.net} {self.currency} ({self.day})"


class Part(models.Model):
    """Something the boat has, or an amount a task uses: made of a material, belongs to a task."""

    class Grain(models.TextChoices):
        ANY = "any", "any way"
        ALONG = "along", "along its length"
        ACROSS = "across", "across its length"

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="parts")
    name = models.CharField(max_length=120)
    task = models.ForeignKey(
        Task, on_delete=models.PROTECT, related_name="parts", null=True, blank=True
    )
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="parts")
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


class Purchase(models.Model):
    """What was ordered from a supplier on one paper. Paid, or only committed."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="purchases")
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="purchases")
    receipt_number = models.CharField("receipt number", max_length=60, blank=True)
    ordered_on = models.DateField("ordered")
    paid_on = models.DateField("paid", null=True, blank=True)
    arrived_on = models.DateField("arrived", null=True, blank=True)
    currency = models.CharField(max_length=3)
    rate = rate_field()
    rate_day = models.DateField("rate of", null=True, blank=True)
    freight = models.DecimalField(max_digits=14, decimal_places=4, default=ZERO,
        validators=[MinValueValidator(ZERO)])  # fmt: skip
    tax = models.DecimalField("tax not given by line", max_digits=14, decimal_places=4,
        default=ZERO, validators=[MinValueValidator(ZERO)])  # fmt: skip
    receipt = models.ForeignKey(
        StoredFile, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
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
        Material, on_delete=models.PROTECT, null=True, blank=True, related_name="purchase_lines"
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


class StockMove(models.Model):
    """A row of the stock ledger. Rows are added, never edited; stock is their sum."""

    class Kind(models.TextChoices):
        BOUGHT = "bought", "bought"
        USED = "used", "used"
        WASTED = "wasted", "wasted"
        COUNTED = "counted", "counted"
        RETURNED = "returned", "returned"
        OFFCUT = "offcut", "made into offcut"
        PUT_BACK = "put-back", "put back"

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="stock_moves")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="moves")
    day = models.DateField()
    kind = models.CharField(max_length=8, choices=Kind)
    quantity = models.DecimalField(
        "change, in the material's unit", max_digits=14, decimal_places=4
    )
    counted = models.DecimalField(
        "what was counted", max_digits=14, decimal_places=4, null=True, blank=True
    )
    task = models.ForeignKey(
        Task, on_delete=models.PROTECT, null=True, blank=True, related_name="stock_moves"
    )
    line = models.ForeignKey(
        PurchaseLine, on_delete=models.SET_NULL, null=True, blank=True, related_name="moves"
    )
    act = models.ForeignKey(
        Act, on_delete=models.SET_NULL, null=True, blank=True, related_name="stock_moves"
    )
    note = models.CharField(max_length=200, blank=True)
    person = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    corrects = models.OneToOneField(
        "self", on_delete=models.RESTRICT, null=True, editable=False, related_name="corrected_by"
    )
    key = models.CharField("sent-once key", max_length=64, blank=True, editable=False)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["day", "pk"]
        indexes = [models.Index(fields=["build", "material", "day"])]
        constraints = [
            models.UniqueConstraint(
                fields=["build", "key"], condition=~Q(key=""), name="stock_move_sent_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.quantity} {self.material_id}"

    @property
    def by_hand(self) -> bool:
        """Whether somebody wrote it by itself, so that it may be taken back by itself.

        What came by a purchase is put right there, what came by a finish by undoing that.
        """
        return (
            self.kind not in (StockMove.Kind.BOUGHT, StockMove.Kind.PUT_BACK)
            and self.act_id is None
            and self.corrects_id is None
        )
