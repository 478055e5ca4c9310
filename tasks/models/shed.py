"""Who and what there is to work with, and when work of a sort may be done at all."""

from __future__ import annotations

from calendar import month_name, monthrange

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from tasks.models.build import Build
from tasks.models.limits import check_year

MOST_OF_ANYTHING = 9999
_COUNT = [MinValueValidator(1), MaxValueValidator(MOST_OF_ANYTHING)]


class HelpDay(models.Model):
    """Hands that come besides those always there: for some days, or on one day of every week."""

    WEEKDAYS = [
        (0, "every Monday"),
        (1, "every Tuesday"),
        (2, "every Wednesday"),
        (3, "every Thursday"),
        (4, "every Friday"),
        (5, "every Saturday"),
        (6, "every Sunday"),
    ]

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="help_days")
    who = models.CharField("who comes", max_length=120)
    hands = models.PositiveSmallIntegerField(
        "how many", default=1, validators=[MinValueValidator(1), MaxValueValidator(99)]
    )
    weekday = models.PositiveSmallIntegerField("day", choices=WEEKDAYS, null=True, blank=True)
    first = models.DateField("first day", null=True, blank=True, validators=[check_year])
    last = models.DateField("last day", null=True, blank=True, validators=[check_year])
    start_minute = models.PositiveSmallIntegerField(
        "from", default=0, validators=[MaxValueValidator(1439)]
    )
    end_minute = models.PositiveSmallIntegerField(
        "to", default=1440, validators=[MaxValueValidator(1440)]
    )

    class Meta:
        ordering = ["first", "weekday", "pk"]
        verbose_name_plural = "help days"
        constraints = [
            models.CheckConstraint(
                condition=Q(weekday__isnull=False) | Q(first__isnull=False),
                name="help_day_some_day",
                violation_error_message="Say which day of the week they come, or the first day.",
            ),
            models.CheckConstraint(
                condition=Q(first__isnull=True) | Q(last__isnull=True) | Q(first__lte=F("last")),
                name="help_day_forward",
                violation_error_message="The last day must not be before the first.",
            ),
            models.CheckConstraint(
                condition=Q(start_minute__lt=F("end_minute")) & Q(end_minute__lte=1440),
                name="help_day_hours_forward",
                violation_error_message="The end must be after the start.",
            ),
        ]

    def __str__(self) -> str:
        return self.who

    @property
    def one_day(self) -> bool:
        return self.weekday is None and self.last in (None, self.first)


class Thing(models.Model):
    """Something countable that a task holds while it is worked on: clamps, the heated tent."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="things")
    name = models.CharField("what", max_length=80)
    count = models.PositiveSmallIntegerField("how many there are", default=1, validators=_COUNT)

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["build", "name"],
                name="thing_once_a_build",
                violation_error_message="There is a thing of that name already.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class TaskThing(models.Model):
    """How many of a thing a task holds."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="task_things")
    task = models.ForeignKey("tasks.Task", on_delete=models.CASCADE, related_name="things")
    thing = models.ForeignKey(Thing, on_delete=models.CASCADE, related_name="needed_by")
    count = models.PositiveSmallIntegerField("how many", default=1, validators=_COUNT)

    class Meta:
        ordering = ["thing__name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["task", "thing"],
                name="thing_once_a_task",
                violation_error_message="The task has that thing already.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.count} {self.thing}"

    def clean(self) -> None:
        if self.task_id is None or self.thing_id is None:
            return  # said by the field
        if {self.task.build_id, self.thing.build_id} != {self.build_id}:
            raise ValidationError("The task and the thing must be of this build.")


class WorkLimit(models.Model):
    """Hours of the day and a part of the year to which some work keeps, within the shop hours.

    No noise after eight; no coating in the cold, unless the heated tent is up.
    """

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="work_limits")
    name = models.CharField("what it is for", max_length=80)
    start_minute = models.PositiveSmallIntegerField(
        "from", default=0, validators=[MaxValueValidator(1439)]
    )
    end_minute = models.PositiveSmallIntegerField(
        "to", default=1440, validators=[MaxValueValidator(1440)]
    )
    first_month = models.PositiveSmallIntegerField(null=True, blank=True)
    first_day = models.PositiveSmallIntegerField(null=True, blank=True)
    last_month = models.PositiveSmallIntegerField(null=True, blank=True)
    last_day = models.PositiveSmallIntegerField(null=True, blank=True)
    lifted_by = models.ForeignKey(
        Thing,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="lifts",
        verbose_name="unless the task has",
    )

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["build", "name"],
                name="work_limit_once_a_build",
                violation_error_message="There is a limit of that name already.",
            ),
            models.CheckConstraint(
                condition=Q(start_minute__lt=F("end_minute")) & Q(end_minute__lte=1440),
                name="work_limit_hours_forward",
                violation_error_message="The end must be after the start.",
            ),
            models.CheckConstraint(
                condition=Q(
                    first_month__isnull=True,
                    first_day__isnull=True,
                    last_month__isnull=True,
                    last_day__isnull=True,
                )
                | Q(
                    first_month__isnull=False,
                    first_day__isnull=False,
                    last_month__isnull=False,
                    last_day__isnull=False,
                ),
                name="work_limit_whole_season",
                violation_error_message="A season has a first and a last day.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        for end, month, day in (
            ("first", self.first_month, self.first_day),
            ("last", self.last_month, self.last_day),
        ):
            if month is None or day is None:
                continue  # said by the constraint
            if not 1 <= month <= 12:
                raise ValidationError({f"{end}_month": "A year has twelve months."})
            if not 1 <= day <= monthrange(2000, month)[1]:
                raise ValidationError({f"{end}_day": f"{month_name[month]} has no such day."})


class HeatedDays(models.Model):
    """Days on which the shed is kept warm, so that no season holds any work back."""

    MOST_DAYS = 366

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="heated_days")
    first = models.DateField("first day", validators=[check_year])
    last = models.DateField("last day", validators=[check_year])

    class Meta:
        ordering = ["first", "pk"]
        verbose_name_plural = "heated days"
        constraints = [
            models.CheckConstraint(
                condition=Q(first__lte=F("last")),
                name="heated_days_forward",
                violation_error_message="The last day must not be before the first.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.first} – {self.last}"

    def clean(self) -> None:
        if self.first and self.last and (self.last - self.first).days >= self.MOST_DAYS:
            raise ValidationError({"last": "That is more than a year in one go."})
