"""Baselines and what changed, for programs."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers
from rest_framework.request import Request
from rest_framework.response import Response

from tasks.api.base import InBuild
from tasks.baselines import delete_baseline, keep_baseline
from tasks.cause_words import causes_of
from tasks.launch_records import Week, weeks_of
from tasks.models import Baseline, LaunchRecord


class BaselineTaskSerializer(serializers.Serializer):
    """A task as it was planned. Minutes: people's of the guess, the shop's of the float."""

    task = serializers.IntegerField()
    code = serializers.CharField()
    name = serializers.CharField()
    stage = serializers.CharField()
    start = serializers.DateTimeField()
    finish = serializers.DateTimeField()
    likely_minutes = serializers.IntegerField()
    total_float = serializers.IntegerField()


class BaselineSerializer(serializers.ModelSerializer):
    class Meta:
        model = Baseline
        fields = ["id", "name", "made_at", "who", "launch", "launch_endless", "compared"]
        read_only_fields = ["made_at", "who", "launch", "launch_endless"]


class WholeBaselineSerializer(BaselineSerializer):
    """With its tasks, as they were planned."""

    tasks = serializers.SerializerMethodField()

    class Meta(BaselineSerializer.Meta):
        fields = [*BaselineSerializer.Meta.fields, "tasks"]

    @extend_schema(responses=BaselineTaskSerializer(many=True))
    def get_tasks(self, baseline: Baseline) -> list[dict[str, Any]]:
        baseline._state.fields_cache["build"] = self.context["build"]
        dates = baseline.dates
        return [
            {
                "task": one.task,
                "code": one.code,
                "name": one.name,
                "stage": one.stage_name,
                "start": dates[one.task][0],
                "finish": dates[one.task][1],
                "likely_minutes": one.likely,
                "total_float": one.total_float,
            }
            for one in baseline.tasks
        ]


class KeepSerializer(serializers.Serializer):
    name = serializers.CharField(max_length=80)
    compared = serializers.BooleanField(default=True)


class Baselines(
    InBuild, mixins.ListModelMixin, mixins.RetrieveModelMixin, mixins.DestroyModelMixin
):
    """List the baselines, look at one with its tasks, keep the plan as it stands, delete one."""

    queryset = Baseline.objects.all()
    serializer_class = BaselineSerializer

    def get_serializer_class(self) -> type[serializers.BaseSerializer]:
        return WholeBaselineSerializer if self.action == "retrieve" else BaselineSerializer

    @extend_schema(request=KeepSerializer, responses={201: BaselineSerializer})
    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        asked = KeepSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        name = " ".join(asked.validated_data["name"].split())
        compared = asked.validated_data["compared"]
        kept = keep_baseline(self.build, name, request.user, compared=compared)
        return Response(BaselineSerializer(kept).data, status=201)

    def perform_destroy(self, instance: Baseline) -> None:
        delete_baseline(instance)


class CauseSerializer(serializers.Serializer):
    """Days of the calendar and minutes by which the launch moved; positive is later."""

    groups = serializers.ListField(child=serializers.CharField())
    days = serializers.IntegerField()
    minutes = serializers.IntegerField()
    words = serializers.CharField()
    tasks = serializers.ListField(child=serializers.IntegerField())


class WeekSerializer(serializers.Serializer):
    """The launch at the end of a week. `causes` is null until they are worked out."""

    day = serializers.DateField()
    launch = serializers.DateTimeField()
    since = serializers.DateField(allow_null=True)
    days = serializers.IntegerField()
    causes = CauseSerializer(many=True, allow_null=True)


def as_values(week: Week) -> dict[str, Any]:
    causes = None
    if week.causes is not None:
        causes = [
            {
                "groups": list(one.groups),
                "days": one.days,
                "minutes": one.minutes,
                "words": one.words,
                "tasks": [pk for pk, _ in one.tasks],
            }
            for one in causes_of(week.causes)
        ]
    return {
        "day": week.day,
        "launch": week.launch,
        "since": week.since,
        "days": week.days,
        "causes": causes,
    }


class ChangesSheet(InBuild):
    """The launch week by week, oldest first, with what moved it."""

    queryset = LaunchRecord.objects.all()
    serializer_class = WeekSerializer
    pagination_class = None
    filter_backends = []

    @extend_schema(responses=WeekSerializer(many=True))
    def list(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        weeks = [as_values(week) for week in weeks_of(self.build)]
        return Response(WeekSerializer(weeks, many=True).data)
