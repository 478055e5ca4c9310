"""Columns that several tables share: lengths, percentages, rates."""

from __future__ import annotations

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

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
