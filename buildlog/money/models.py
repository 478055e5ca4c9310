from __future__ import annotations

from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q

from tasks.models import Build
from tasks.models.limits import check_year


class StandingCost(models.Model):
    """What each month costs whether or not work is done: rent, insurance, heat. Build currency."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="standing_costs")
    name = models.CharField(max_length=120)
    a_month = models.DecimalField(
        "a month", max_digits=14, decimal_places=4, validators=[MinValueValidator(Decimal(0))]
    )
    first = models.DateField("from", validators=[check_year])
    last = models.DateField(
        "to, if it ends before launch", null=True, blank=True, validators=[check_year]
    )

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(last__isnull=True) | Q(last__gte=F("first")),
                name="standing_cost_forward",
                violation_error_message="It must not end before it begins.",
            )
        ]

    def __str__(self) -> str:
        return self.name


class Budget(models.Model):
    """How a build reckons its cost to finish."""

    build = models.OneToOneField(Build, on_delete=models.CASCADE, related_name="budget")
    contingency_percent = models.DecimalField(
        "for what is not foreseen, % of what is still to buy",
        max_digits=6,
        decimal_places=3,
        default=Decimal(10),
        validators=[MinValueValidator(Decimal(0))],
    )

    def __str__(self) -> str:
        return f"{self.contingency_percent} %"
