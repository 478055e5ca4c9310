from __future__ import annotations

from typing import Any

from rest_framework import serializers

from tasks.api.base import BuildSerializer
from tasks.changes import last_place
from tasks.forms.build import currencies
from tasks.hours import MOST_MINUTES
from tasks.models import (
    Act,
    Build,
    Crew,
    DayOff,
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
from tasks.plan import State


class BuildRowSerializer(serializers.ModelSerializer):
    role = serializers.SerializerMethodField(help_text="What you are in this build.")

    class Meta:
        model = Build
        fields = [
            "slug", "name", "about", "started", "time_zone", "currency", "length_system",
            "denominator", "hands", "role",
        ]  # fmt: skip
        read_only_fields = ["slug"]

    def validate_currency(self, code: str) -> str:
        code = code.strip().upper()
        if code not in dict(currencies()):
            raise serializers.ValidationError(f"“{code}” is no currency; one looks like EUR.")
        return code

    def get_role(self, build: Build) -> str:
        places = getattr(build, "own_places", None)
        if places is None:
            return self.context["crew"].role
        return places[0].role


class StageSerializer(BuildSerializer):
    class Meta:
        model = Stage
        fields = ["id", "name", "order", "work_kind"]
        extra_kwargs = {"order": {"required": False}}

    def create(self, validated: dict[str, Any]) -> Stage:
        validated.setdefault("order", last_place(Stage.objects.filter(build=validated["build"])))
        return super().create(validated)


class TaskSerializer(BuildSerializer):
    """Estimates in people-minutes, cure in minutes by the clock."""

    class Meta:
        model = Task
        fields = [
            "id", "code", "stage", "name", "order", "low_minutes", "likely_minutes",
            "high_minutes", "hands", "unbroken", "cure_minutes", "not_before", "notes",
            "work_kind", "limit", "pinned_at", "turn", "started_at", "finished_at",
            "left_minutes",
        ]  # fmt: skip
        read_only_fields = ["started_at", "finished_at", "left_minutes"]
        extra_kwargs = {"order": {"required": False}}

    def create(self, validated: dict[str, Any]) -> Task:
        validated.setdefault("order", last_place(Task.objects.filter(stage=validated["stage"])))
        return super().create(validated)


class LinkSerializer(BuildSerializer):
    """Lag in minutes, of shop hours or by the clock; negative is a lead."""

    class Meta:
        model = Link
        fields = [
            "id", "before", "after", "kind", "lag_minutes", "lag_in", "waits_for_cure",
        ]  # fmt: skip

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if self.instance and {"before", "after"} & attrs.keys():
            raise serializers.ValidationError(
                "A link keeps its two tasks. Delete it and add another."
            )
        return super().validate(attrs)


class ShopHoursSerializer(BuildSerializer):
    """A stretch of the week in minutes of the day; weekday 0 is Monday."""

    class Meta:
        model = ShopHours
        fields = ["id", "weekday", "start_minute", "end_minute"]


class DayOffSerializer(BuildSerializer):
    class Meta:
        model = DayOff
        fields = ["id", "first", "last", "reason"]


class HelpDaySerializer(BuildSerializer):
    """Hands that come: on one weekday (0 is Monday), or from the first day to the last."""

    class Meta:
        model = HelpDay
        fields = ["id", "who", "hands", "weekday", "first", "last", "start_minute", "end_minute"]


class ThingSerializer(BuildSerializer):
    """Something countable that tasks hold while they are worked on."""

    class Meta:
        model = Thing
        fields = ["id", "name", "count"]


class TaskThingSerializer(BuildSerializer):
    """How many of a thing a task holds."""

    class Meta:
        model = TaskThing
        fields = ["id", "task", "thing", "count"]


class WorkLimitSerializer(BuildSerializer):
    """Minutes of the day and part of the year that work keeps to, unless it holds a thing."""

    class Meta:
        model = WorkLimit
        fields = [
            "id", "name", "start_minute", "end_minute", "first_month", "first_day", "last_month",
            "last_day", "lifted_by",
        ]  # fmt: skip


class WorkSerializer(BuildSerializer):
    """Hours of one person on one day. `minutes` is null while a clock runs."""

    class Meta:
        model = Work
        fields = ["id", "task", "person", "who", "day", "minutes", "started_at", "stopped_at"]
        read_only_fields = fields


class ActSerializer(serializers.ModelSerializer):
    class Meta:
        model = Act
        fields = ["id", "task", "kind", "at", "undone_at"]


class CrewSerializer(serializers.ModelSerializer):
    name = serializers.CharField(source="person.get_short_name", read_only=True)

    class Meta:
        model = Crew
        fields = ["person", "name", "role", "sees_money", "joined_at"]
        read_only_fields = fields


class LeftSerializer(serializers.Serializer):
    minutes = serializers.IntegerField(
        min_value=0,
        max_value=MOST_MINUTES,
        allow_null=True,
        help_text="People-minutes left; null takes the word back.",
    )


class UndoSerializer(serializers.Serializer):
    act = serializers.IntegerField(help_text="The act to undo.")


class WaitSerializer(serializers.Serializer):
    task = serializers.IntegerField()
    link = serializers.IntegerField()
    until = serializers.DateTimeField(allow_null=True)


class PlannedTaskSerializer(serializers.Serializer):
    """A task's dates. Floats in shop minutes, the rest of minutes in people-minutes."""

    id = serializers.IntegerField(source="pk")
    code = serializers.CharField(source="task.code")
    name = serializers.CharField(source="task.name")
    state = serializers.ChoiceField(choices=[state.value for state in State])
    early_start = serializers.DateTimeField()
    early_finish = serializers.DateTimeField()
    cured = serializers.DateTimeField()
    late_start = serializers.DateTimeField()
    late_finish = serializers.DateTimeField()
    total_float = serializers.IntegerField()
    free_float = serializers.IntegerField()
    critical = serializers.BooleanField()
    driving_link = serializers.IntegerField(source="driving.pk", allow_null=True, default=None)
    logged_minutes = serializers.IntegerField()
    left_minutes = serializers.IntegerField()
    waits_for = serializers.SerializerMethodField()
    frees = serializers.ListField(child=serializers.IntegerField())

    def get_waits_for(self, planned: Any) -> list[dict[str, Any]]:
        return [
            {"task": before, "link": link.pk, "until": until}
            for link, before, until in planned.waits_for
        ]


class PlanSerializer(serializers.Serializer):
    now = serializers.DateTimeField()
    launch = serializers.DateTimeField(allow_null=True)
    says = serializers.CharField(help_text="What sets the launch date, in words.")
    problems = serializers.ListField(child=serializers.CharField())
    critical_path = serializers.ListField(child=serializers.IntegerField())
    tasks = PlannedTaskSerializer(many=True)
