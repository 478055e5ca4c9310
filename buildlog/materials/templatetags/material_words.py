"""Materials and parts in a few words: `{% load material_words %}`."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django import template

from buildlog.materials.models import Material, Part
from buildlog.materials.ordering import in_packs
from buildlog.materials.prices import PriceNow
from buildlog.materials.takeoff import KERF_MM
from buildlog.materials.words import count_words, form_words, pack_words, size_words
from buildlog.templatetags.measures import as_length
from tasks.models import Build

register = template.Library()
register.filter("pack_words", pack_words)
register.filter("count_words", count_words)


@register.filter
def form(material: Material, build: Build) -> str:
    """`{{ material|form:build }}`: “2500 × 1220 × 9 mm”."""
    return form_words(material, build)


@register.filter
def size(part: Part, build: Build) -> str:
    """`{{ part|size:build }}`: “1250 × 610 mm, 2 layers”."""
    return size_words(part, build)


@register.filter
def packs(amount: Decimal, material: Material) -> str:
    """`{{ row.to_buy|packs:material }}`: “3 packs”, or nothing where it is sold singly."""
    number = in_packs(amount, material)
    if number is None:
        return ""
    shown = f"{number.normalize():f}"
    return f"{shown} pack" if number == 1 else f"{shown} packs"


@register.filter
def old_on(price: PriceNow, today: dt.date) -> bool:
    """`{% if row.price|old_on:today %}`: whether the price is more than a year old."""
    return price.is_old(today)


@register.simple_tag
def kerf(build: Build) -> str:
    """What the takeoff loses at each cut."""
    return as_length(KERF_MM, build)
