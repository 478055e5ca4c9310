from __future__ import annotations

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from tasks.linking import ring_closed_by, ring_words
from tasks.models.build import Build
from tasks.models.limits import check_year, no_longer_ahead, no_more_than_can_be_worked
from tasks.models.shed import WorkLimit


class WorkKind(models.TextChoices):
    """Sorts of work, by which a builder's guesses are held against what it took."""

    SETTING_OUT = "setting-out", "lofting and setting up"
    FITTING = "fitting", "cutting and fitting"
    GLUING = "gluing", "gluing and filleting"
    SHEATHING = "sheathing", "sheathing"
    FAIRING = "fairing", "fairing and sanding"
    COATING = "coating", "coating and paint"
    FITTING_OUT = "fitting-out", "fitting out"
    HANDLING = "handling", "lifting and turning"
    OTHER = "other", "other work"


class Doing(models.TextChoices):
    """Who does a task. Estimates, parts and all that was logged stay, whoever does it."""

    OWN = "own", "by us"
    BOUGHT_IN = "bought-in", "bought in, with our material"
    BOUGHT_ALL = "bought-all", "bought in, material and all"
    LEFT_OUT = "left-out", "left out"


class Stage(models.Model):
    """A part of the build that the builder thinks of as one: frames, bulkheads, planking."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="stages")
    name = models.CharField(max_length=80)
    order = models.PositiveIntegerField("place in the build", default=0)
    work_kind = models.CharField(
        "sort of work", max_length=12, choices=WorkKind, default=WorkKind.OTHER
    )

    class Meta:
        ordering = ["order", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["build", "name"],
                name="stage_name_once_a_build",
                violation_error_message="There is a stage of that name already.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Task(models.Model):
    """One piece of work. What it *is* (ready, in hand, done…) is derived: see `tasks.plan`.

    Estimates are people-minutes; `cure_minutes` is elapsed time after the finish.
    """

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="tasks")
    stage = models.ForeignKey(Stage, on_delete=models.RESTRICT, related_name="tasks")
    code = models.CharField("number", max_length=20)
    name = models.CharField("what is to be done", max_length=200)
    order = models.PositiveIntegerField("place in the stage", default=0)
    low_minutes = models.PositiveIntegerField(
        "low", default=60, validators=[no_more_than_can_be_worked]
    )
    likely_minutes = models.PositiveIntegerField(
        "likely", default=60, validators=[no_more_than_can_be_worked]
    )
    high_minutes = models.PositiveIntegerField(
        "high", default=60, validators=[no_more_than_can_be_worked]
    )
    hands = models.PositiveSmallIntegerField(
        "hands", default=1, validators=[MinValueValidator(1), MaxValueValidator(99)]
    )
    unbroken = models.BooleanField("must be done in one go", default=False)
    cure_minutes = models.PositiveIntegerField(
        "cure", default=0, validators=[no_more_than_can_be_worked]
    )
    not_before = models.DateField("not before", null=True, blank=True, validators=[check_year])
    notes = models.TextField(blank=True)
    work_kind = models.CharField("sort of work", max_length=12, choices=WorkKind, blank=True)
    limit = models.ForeignKey(
        WorkLimit,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="tasks",
        verbose_name="keeps to",
    )

    # Bought in, it takes none of our hours but days by the calendar; left out, it takes nothing.
    doing = models.CharField("is done", max_length=10, choices=Doing, default=Doing.OWN)
    bought_in_days = models.PositiveSmallIntegerField(
        "days it takes if bought in", default=0, validators=[MaxValueValidator(3660)]
    )

    # Where the builder wants it in the order of work.
    pinned_at = models.DateTimeField(
        "starts at just this time", null=True, blank=True, validators=[check_year]
    )
    turn = models.PositiveIntegerField(
        "its turn among the tasks whose order is fixed", null=True, blank=True
    )

    # What was logged of it. Plan edits never touch these.
    started_at = models.DateTimeField("started", null=True, blank=True, validators=[check_year])
    finished_at = models.DateTimeField("finished", null=True, blank=True, validators=[check_year])
    left_minutes = models.PositiveIntegerField(
        "people-minutes left, where the builder said so",
        null=True,
        blank=True,
        validators=[no_more_than_can_be_worked],
    )
    left_said_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["stage__order", "stage_id", "order", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["build", "code"],
                name="task_code_once_a_build",
                violation_error_message="There is a task with that number already.",
            ),
            models.CheckConstraint(
                condition=Q(low_minutes__lte=F("likely_minutes"))
                & Q(likely_minutes__lte=F("high_minutes")),
                name="task_low_likely_high",
                violation_error_message="Hours must rise: low, then likely, then high.",
            ),
            models.CheckConstraint(condition=Q(hands__gte=1), name="task_some_hands"),
            models.CheckConstraint(
                condition=Q(finished_at__isnull=True)
                | Q(started_at__isnull=False, started_at__lte=F("finished_at")),
                name="task_started_before_finished",
                violation_error_message="It cannot finish before it started.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.name}"

    def get_absolute_url(self) -> str:
        return reverse("task", args=[self.build.slug, self.pk])

    @property
    def minutes(self) -> int:
        """The shop minutes it takes with its hands, from the likely people-minutes."""
        return -(-self.likely_minutes // self.hands)

    @property
    def why_not_left_out(self) -> str:
        """Why it cannot be left out of her from now on; empty if it can."""
        begun = self.started_at or self.finished_at
        return "It is begun already, so it cannot be left out." if begun else ""

    @property
    def sort_of_work(self) -> str:
        """Its own sort of work, else that of its stage."""
        return self.work_kind or self.stage.work_kind


class LinkKind(models.TextChoices):
    FINISH_START = "finish-start", "starts after it is finished"
    START_START = "start-start", "starts after it has started"
    FINISH_FINISH = "finish-finish", "finishes after it is finished"
    START_FINISH = "start-finish", "finishes after it has started"


class LagIn(models.TextChoices):
    SHOP = "shop", "shop hours"
    ELAPSED = "elapsed", "hours by the clock"


class Link(models.Model):
    """What must come before what."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="links")
    before = models.ForeignKey(Task, on_delete=models.CASCADE, related_name="links_out")
    after = models.ForeignKey(Task, on_delete=models.CASCADE, related_name="links_in")
    kind = models.CharField(max_length=13, choices=LinkKind, default=LinkKind.FINISH_START)
    lag_minutes = models.IntegerField(
        "lag", default=0, validators=[no_longer_ahead, no_more_than_can_be_worked]
    )
    lag_in = models.CharField(max_length=7, choices=LagIn, default=LagIn.SHOP)
    waits_for_cure = models.BooleanField("waits for the cure", default=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["before", "after", "kind"],
                name="link_once",
                violation_error_message="These two tasks are linked in that way already.",
            ),
            models.CheckConstraint(
                condition=~Q(before=F("after")),
                name="link_not_to_itself",
                violation_error_message="A task cannot wait for itself.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.before_id} → {self.after_id} ({self.kind})"

    def clean(self) -> None:
        if self.before_id is None or self.after_id is None or self.before_id == self.after_id:
            return  # said by the field or by the constraint
        if {self.before.build_id, self.after.build_id} != {self.build_id}:
            raise ValidationError("Both tasks must be of this build.")
        ring = ring_closed_by(self.before, self.after)
        if ring:
            raise ValidationError(ring_words(ring), code="ring")


class ShopHours(models.Model):
    """A stretch of the week in which work can happen, in the build's own time zone."""

    WEEKDAYS = [
        (0, "Monday"),
        (1, "Tuesday"),
        (2, "Wednesday"),
        (3, "Thursday"),
        (4, "Friday"),
        (5, "Saturday"),
        (6, "Sunday"),
    ]

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="shop_hours")
    weekday = models.PositiveSmallIntegerField(choices=WEEKDAYS)
    start_minute = models.PositiveSmallIntegerField("from", validators=[MaxValueValidator(1439)])
    end_minute = models.PositiveSmallIntegerField("to", validators=[MaxValueValidator(1440)])

    class Meta:
        ordering = ["weekday", "start_minute"]
        verbose_name_plural = "shop hours"
        constraints = [
            models.CheckConstraint(
                condition=Q(start_minute__lt=F("end_minute")) & Q(end_minute__lte=1440),
                name="shop_hours_forward",
                violation_error_message="The end must be after the start.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.start_minute}–{self.end_minute}"

    def clean(self) -> None:
        others = ShopHours.objects.filter(
            build=self.build_id,
            weekday=self.weekday,
            start_minute__lt=self.end_minute,
            end_minute__gt=self.start_minute,
        ).exclude(pk=self.pk)
        if others.exists():
            raise ValidationError("These hours overlap others of that day.")


class DayOff(models.Model):
    """Days without shop hours, first and last included."""

    MOST_DAYS = 2 * 366

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="days_off")
    first = models.DateField(validators=[check_year])
    last = models.DateField(validators=[check_year])
    reason = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["first", "pk"]
        verbose_name_plural = "days off"
        constraints = [
            models.CheckConstraint(
                condition=Q(first__lte=F("last")),
                name="day_off_forward",
                violation_error_message="The last day off must not be before the first.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.first} – {self.last}"

    def clean(self) -> None:
        if self.first and self.last and (self.last - self.first).days >= self.MOST_DAYS:
            raise ValidationError({"last": "That is more than two years in one go."})
