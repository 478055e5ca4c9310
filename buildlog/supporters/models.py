from __future__ import annotations

import datetime as dt
import secrets
import uuid
from decimal import Decimal
from typing import TYPE_CHECKING

from django.core.validators import MinValueValidator, RegexValidator
from django.db import models
from django.db.models import Q, Sum
from django.db.models.functions import Coalesce, Lower, NullIf, Trim

from buildlog.journal.models import Photo
from tasks.models import Build, Person
from tasks.models.limits import check_year

if TYPE_CHECKING:
    from buildlog.supporters.outside import Picture


def unguessable_address() -> str:
    """128 bits: found by nobody who was not told."""
    return secrets.token_urlsafe(16)


class SupporterQuerySet(models.QuerySet["Supporter"]):
    def with_given(self) -> SupporterQuerySet:
        """Each with `given`, the sum of what came from them."""
        return self.annotate(given=Coalesce(Sum("contributions__amount"), Decimal(0)))

    def named_in_public(self) -> SupporterQuerySet:
        """Those who agreed, by the name they wish to be shown under, in its order."""
        blank = models.Value("")
        public_name = Coalesce(NullIf(Trim("shown_as"), blank), "name")
        named = self.filter(agreed=True).annotate(public_name=public_name)
        return named.order_by(Lower("public_name"), "pk")


class Supporter(models.Model):
    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="supporters")
    name = models.CharField(max_length=120)
    agreed = models.BooleanField("agreed to be named in public", default=False)
    shown_as = models.CharField("name to show", max_length=120, blank=True)
    email = models.EmailField(blank=True)
    since = models.DateField(validators=[check_year])
    notes = models.TextField(blank=True)

    public_name: str  # of `named_in_public`

    objects = SupporterQuerySet.as_manager()

    class Meta:
        ordering = ["since", "name", "pk"]

    def __str__(self) -> str:
        return self.name


class Contribution(models.Model):
    supporter = models.ForeignKey(Supporter, on_delete=models.CASCADE, related_name="contributions")
    day = models.DateField(validators=[check_year])
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
    uid = models.UUIDField("its name in the feed, for good", default=uuid.uuid4, editable=False)
    title = models.CharField(max_length=160)
    text = models.TextField(blank=True)
    photos = models.ManyToManyField(Photo, blank=True, related_name="updates")
    day = models.DateField(validators=[check_year])
    made_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)

    # Of `showing.with_showing`, once it was ever shown; of `outside.with_pictures`.
    is_shown: bool | None
    showing_at: dt.datetime
    first_at: dt.datetime
    pictures: list[Picture]

    class Meta:
        ordering = ["-day", "-pk"]

    def __str__(self) -> str:
        return self.title


class PublicPage(models.Model):
    """The page outsiders may see. Nothing is reachable until it is switched on."""

    build = models.OneToOneField(Build, on_delete=models.CASCADE, related_name="public_page")
    uid = models.UUIDField("its name in the feed, for good", default=uuid.uuid4, editable=False)
    address = models.CharField(
        max_length=80,
        unique=True,
        default=unguessable_address,
        validators=[
            RegexValidator(
                r"^[-a-zA-Z0-9_]{3,}\Z", "Three or more letters a–z, digits, - and _; no spaces."
            )
        ],
        error_messages={"unique": "This address is taken. Choose another."},
    )
    unguessable = models.BooleanField(default=True, editable=False)
    intro = models.TextField("a few words at the top", blank=True)
    signed_as = models.CharField("updates are signed by", max_length=120, blank=True)
    shows_tasks = models.BooleanField("how far each stage is", default=True)
    shows_task_names = models.BooleanField(
        "the names of tasks done lately, in hand and next", default=False
    )
    shows_hours = models.BooleanField("hours worked", default=True)
    shows_names = models.BooleanField("the thank-you list", default=True)

    # Of `showing.with_showing`, once it was ever shown.
    is_shown: bool | None
    showing_at: dt.datetime

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
        indexes = [
            models.Index(fields=["update", "-at", "-id"]),
            models.Index(fields=["photo", "-at", "-id"]),
        ]
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
