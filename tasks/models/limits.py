"""What a row may say, wherever it comes from: beyond it no plan could be reckoned."""

from __future__ import annotations

import datetime as dt

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator

from tasks.hours import MOST_MINUTES

FIRST_YEAR, LAST_YEAR = 1900, 2200
MOST_HOURS = f"It is more than {MOST_MINUTES // 60:,} hours."

no_more_than_can_be_worked = MaxValueValidator(MOST_MINUTES, MOST_HOURS)
no_longer_ahead = MinValueValidator(-MOST_MINUTES, MOST_HOURS)


def check_year(day: dt.date) -> None:
    """A year that was mistyped would draw a rule of centuries, or none at all."""
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise ValidationError(
            f"It is in the year {day.year}; a year lies between {FIRST_YEAR} and {LAST_YEAR}.",
            code="year",
        )
