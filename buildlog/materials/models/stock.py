"""What is in the shed."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from buildlog.materials.models.catalogue import Material
from buildlog.materials.models.purchase import PurchaseLine
from tasks.models import Act, Build, Person, Task
from tasks.models.limits import check_year


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
    material = models.ForeignKey(Material, on_delete=models.RESTRICT, related_name="moves")
    day = models.DateField(validators=[check_year])
    kind = models.CharField(max_length=8, choices=Kind)
    quantity = models.DecimalField(
        "change, in the material's unit", max_digits=14, decimal_places=4
    )
    counted = models.DecimalField(
        "what was counted", max_digits=14, decimal_places=4, null=True, blank=True
    )
    task = models.ForeignKey(
        Task, on_delete=models.RESTRICT, null=True, blank=True, related_name="stock_moves"
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
