"""Whatever changes parts, stock or prices makes cached needs and sums stale."""

from __future__ import annotations

from typing import Any

from django.db.models import Model
from django.db.models.signals import post_delete, post_save
from django.dispatch import receiver

from buildlog.materials.models import (
    Material,
    Part,
    Price,
    Purchase,
    PurchaseLine,
    StockMove,
    Supplier,
)
from tasks.models import Build

OWN = (Material, Part, Purchase, StockMove, Supplier)


@receiver([post_save, post_delete])
def touch_books(sender: type[Model], instance: Any, **kwargs: Any) -> None:
    if sender in OWN:
        Build(pk=instance.build_id).touch_books()
    elif sender is Price:
        Build(pk=instance.material.build_id).touch_books()
    elif sender is PurchaseLine:
        Build(pk=instance.purchase.build_id).touch_books()
