from __future__ import annotations

import secrets
from zoneinfo import ZoneInfo, available_timezones

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F
from django.urls import reverse
from django.utils.text import slugify

from tasks.models.limits import check_year
from tasks.models.people import Person


def check_time_zone(name: str) -> None:
    if name not in available_timezones():
        raise ValidationError(f"“{name}” is not a time zone; one looks like Europe/Paris.")


class BuildQuerySet(models.QuerySet["Build"]):
    def seen_by(self, person: Person) -> BuildQuerySet:
        """The builds that exist for this person: those they are crew of."""
        return self.filter(crew__person=person)


class Build(models.Model):
    """One boat being built. Everything else belongs to a build."""

    class LengthSystem(models.TextChoices):
        METRIC = "metric", "millimetres"
        IMPERIAL = "imperial", "feet, inches and fractions"

    DENOMINATORS = [(n, f"1/{n} in") for n in (2, 4, 8, 16, 32, 64)]

    name = models.CharField("name of the boat", max_length=80)
    slug = models.SlugField("address", max_length=60, unique=True)
    about = models.TextField("about her", blank=True)
    started = models.DateField("started on", null=True, blank=True, validators=[check_year])
    time_zone = models.CharField(max_length=60, default="UTC", validators=[check_time_zone])
    currency = models.CharField("currency", max_length=3, default="EUR")
    length_system = models.CharField(
        "lengths in", max_length=8, choices=LengthSystem, default=LengthSystem.METRIC
    )
    denominator = models.PositiveSmallIntegerField(
        "finest fraction",
        choices=DENOMINATORS,
        default=16,
        validators=[MinValueValidator(2), MaxValueValidator(64)],
    )
    hands = models.PositiveSmallIntegerField(
        "hands always there",
        default=1,
        validators=[MinValueValidator(1), MaxValueValidator(99)],
    )
    demo = models.BooleanField(default=False, editable=False)
    plan_version = models.PositiveIntegerField(default=0, editable=False)
    books_version = models.PositiveIntegerField(default=0, editable=False)
    made_at = models.DateTimeField(auto_now_add=True)

    objects = BuildQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("bench", args=[self.slug])

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.time_zone)

    def take_slug(self) -> None:
        """Give a new build an address of its own, from its name."""
        base = slugify(self.name)[:50] or "build"
        slug = base
        while Build.objects.filter(slug=slug).exists():
            slug = f"{base}-{secrets.token_hex(2)}"
        self.slug = slug

    def touch_plan(self) -> None:
        """Say that something the plan follows from has changed, so that no cached plan is used."""
        Build.objects.filter(pk=self.pk).update(plan_version=F("plan_version") + 1)

    def touch_books(self) -> None:
        """The same for what is kept of parts, stock and prices beside the plan."""
        Build.objects.filter(pk=self.pk).update(books_version=F("books_version") + 1)


class Role(models.TextChoices):
    OWNER = "owner", "owner: everything"
    PLANNER = "planner", "planner: plan, materials, money, record"
    HAND = "hand", "hand: log, photos, own hours; sees the plan"
    ONLOOKER = "onlooker", "onlooker: may only look"


RIGHTS: dict[str, frozenset[str]] = {
    Role.OWNER: frozenset({"look", "log", "plan", "money", "share", "own"}),
    Role.PLANNER: frozenset({"look", "log", "plan", "money"}),
    Role.HAND: frozenset({"look", "log"}),
    Role.ONLOOKER: frozenset({"look"}),
}


class Crew(models.Model):
    """A person's place in a build. `rights` is the one answer to what they may do there."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="crew")
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="crew_of")
    role = models.CharField(max_length=10, choices=Role, default=Role.HAND)
    sees_money = models.BooleanField("may see the money", default=False)
    joined_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["joined_at", "pk"]
        verbose_name_plural = "crew"
        constraints = [
            models.UniqueConstraint(fields=["build", "person"], name="crew_once_a_build"),
        ]

    def __str__(self) -> str:
        return f"{self.person} ({self.role})"

    @property
    def rights(self) -> frozenset[str]:
        """look, log, plan, share, own; `money` to change it, `see-money` to read it."""
        rights = RIGHTS[self.role]
        if self.sees_money or "money" in rights:
            rights |= {"see-money"}
        return rights

    def may(self, right: str) -> bool:
        return right in self.rights
