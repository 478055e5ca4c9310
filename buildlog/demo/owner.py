"""Whoever first owns the demo build has done all that its builder is said to have done."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.db.models.signals import post_save
from django.dispatch import receiver

from tasks.models import Build, Crew, Person, Role

BUILDER = "owner"


@receiver(post_save, sender=Crew)
def owner_came(sender: type[Crew], instance: Crew, created: bool, **kwargs: Any) -> None:
    if created and instance.role == Role.OWNER and instance.build.demo:
        take_over(instance.build, instance.person)


@transaction.atomic
def take_over(build: Build, person: Person) -> None:
    """Put the person's name to what nobody has signed yet."""
    build.entries.filter(author=None).update(author=person)
    build.work.filter(person=None, who=BUILDER).update(person=person, who=str(person)[:120])
    for rows in (build.photos, build.stock_moves):
        rows.filter(person=None).update(person=person)
    build.baselines.filter(by=None).update(by=person, who=str(person)[:120])
    build.showings.filter(by=None).update(by=person)
    build.touch_plan()
