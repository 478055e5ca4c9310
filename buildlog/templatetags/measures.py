"""Lengths, amounts and quantities as the pages show them: `{% load measures %}`."""

from __future__ import annotations

from decimal import Decimal

from django import template

from buildlog.units import exact_length as exact
from buildlog.units import format_money, format_quantity, plural, show_length
from tasks.models import Build

register = template.Library()

NOTHING = "–"
SYMBOLS = {"litre": "L"}  # what the catalogue calls a unit, as it is written


@register.filter
def as_length(mm: Decimal | None, build: Build) -> str:
    """`{{ part.length_mm|as_length:build }}`: “1220 mm”, or “4′ 0 1/16″” marked ≈ where rounded."""
    if mm is None or mm == "":
        return NOTHING
    return show_length(mm, build.length_system, build.denominator).set_text


@register.filter
def exact_length(mm: Decimal | None, build: Build) -> str:
    """Text that reads back as exactly this length, for a box that will be edited."""
    return "" if mm in (None, "") else exact(mm, build.length_system)


@register.filter
def money(amount: Decimal | None, build: Build | str) -> str:
    """`{{ amount|money:build }}`, or `:"GBP"` for an amount in another currency."""
    if amount is None or amount == "":
        return NOTHING
    return format_money(Decimal(amount), getattr(build, "currency", build))


@register.filter
def quantity(amount: Decimal | None, unit: str) -> str:
    """`{{ stock|quantity:material.unit }}`: “3 sheets”, “2.5 kg”."""
    if amount is None or amount == "":
        return NOTHING
    return format_quantity(Decimal(amount), SYMBOLS.get(unit, unit))


@register.filter
def rounded(amount: Decimal | None, unit: str) -> str:
    """`quantity` without the mark ≈, for a sheet that says once that all of it is rounded."""
    return quantity(amount, unit).removeprefix("≈ ")


@register.filter
def many(unit: str, number: Decimal | int) -> str:
    """The word for a number of a counted unit: `{{ "sheet"|many:2 }}` is “sheets”."""
    return plural(unit, Decimal(number))
