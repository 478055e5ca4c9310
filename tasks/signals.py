"""What the plan follows from says so when it changes; bulk operations must say so themselves."""

from __future__ import annotations

from typing import Any

from django.db.models import F, Model
from django.db.models.signals import post_delete, post_save
from django.dispatch import receiver

from tasks.models import (
    Build,
    DayOff,
    HeatedDays,
    HelpDay,
    Link,
    ShopHours,
    Stage,
    Task,
    TaskThing,
    Thing,
    Work,
    WorkLimit,
)

INPUTS: tuple[type[Model], ...] = (
    Task,
    Link,
    Stage,
    ShopHours,
    DayOff,
    Work,
    HelpDay,
    HeatedDays,
    Thing,
    TaskThing,
    WorkLimit,
)


@receiver(post_save)
@receiver(post_delete)
def touch_plan(sender: type[Model], instance: Any, **_: Any) -> None:
    if sender in INPUTS:
        touched = Build.objects.filter(pk=instance.build_id)
        touched.update(plan_version=F("plan_version") + 1)
