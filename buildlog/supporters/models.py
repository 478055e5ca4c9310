from __future__ import annotations

from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q

from buildlog.journal.models import Photo
from tasks.models import Build, Person


class Supporter(models.Model):
    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="supporters")
    name = models.CharField(max_length=120)
    agreed = models.BooleanField("agreed to be named in public", default=False)
    shown_as = models.CharField("name to show", max_length=120, blank=True)
    email = models.EmailField(blank=True)
    since = models.DateField()
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["since", "name"]

    def __str__(self) -> str:
        return self.name


class Contribution(models.Model):
    supporter = models.ForeignKey(Supporter, on_delete=models.CASCADE, related_name="contributions")
    day = models.DateField()
    amount = models.DecimalField(
        "amount, build currency", max_digits=14, decimal_places=4,
        validators=[MinValueValidator(Decimal("0.0001"))],
    )  # fmt: skip
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-day", "-pk"]

    def __str__(self) -> str:
        return f"{self.day} {self.amount}"


class Update(models.Model):
    """What the builder writes for those who follow. Seen by nobody until shown."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="updates")
    title = models.CharField(max_length=160)
    text = models.TextField(blank=True)
    photos = models.ManyToManyField(Photo, blank=True, related_name="updates")
    day = models.DateField()
    made_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["-day", "-pk"]

    def __str__(self) -> str:
        return self.title


class PublicPage(models.Model):
    """The page outsiders may see. Nothing is reachable until it is switched on."""

    build = models.OneToOneField(Build, on_delete=models.CASCADE, related_name="public_page")
    address = models.CharField(max_length=80, unique=True)
    intro = models.TextField(blank=True)
    shows_hours = models.BooleanField("show hours worked", default=True)
    shows_tasks = models.BooleanField("show what is done and what is next", default=True)
    shows_names = models.BooleanField("show the thank-you list", default=True)

    def __str__(self) -> str:
        return self.address


class Showing(models.Model):
    """An act of showing something, or of taking it back; the newest row decides."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="showings")
    page = models.ForeignKey(
        PublicPage, on_delete=models.CASCADE, null=True, blank=True, related_name="showings"
    )
    update = models.ForeignKey(
        Update, on_delete=models.CASCADE, null=True, blank=True, related_name="showings"
    )
    photo = models.ForeignKey(
        Photo, on_delete=models.CASCADE, null=True, blank=True, related_name="showings"
    )
    shown = models.BooleanField()
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=(
                    Q(page__isnull=False, update__isnull=True, photo__isnull=True)
                    | Q(page__isnull=True, update__isnull=False, photo__isnull=True)
                    | Q(page__isnull=True, update__isnull=True, photo__isnull=False)
                ),
                name="showing_of_one_thing",
            )
        ]

    def __str__(self) -> str:
        return "shown" if self.shown else "taken back"
