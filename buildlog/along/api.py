"""The order of work, for programs."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from buildlog.ahead.views import fresh_order
from buildlog.along.order_table import sheet_of
from tasks.api.base import InBuild
from tasks.models import Doing, Task
from tasks.plan import State, plan_of


class OrderRowSerializer(serializers.Serializer):
    """A task in the order of work.

    `place` counts the unfinished tasks from 1. `start`, `finish` and `cured` are with the hands
    there are (what has happened is as it was), and null where there is no order; `spare` tells
    the shop minutes by which the task can be late without moving that launch. Early and late dates
    and floats are as if hands were endless. Floats in shop minutes, `left_minutes` in
    people-minutes.
    """

    id = serializers.IntegerField(source="task.pk")
    place = serializers.IntegerField(allow_null=True)
    code = serializers.CharField(source="task.code")
    name = serializers.CharField(source="task.name")
    stage = serializers.CharField(source="task.stage.name")
    state = serializers.ChoiceField(
        source="planned.state.value", choices=[state.value for state in State]
    )
    doing = serializers.ChoiceField(source="task.doing", choices=Doing.values)
    hands = serializers.IntegerField(source="task.hands")
    left_minutes = serializers.IntegerField(source="planned.left_minutes")
    start = serializers.DateTimeField(allow_null=True)
    finish = serializers.DateTimeField(allow_null=True)
    cured = serializers.DateTimeField(allow_null=True)
    spare = serializers.IntegerField(allow_null=True)
    pinned = serializers.BooleanField()
    early_start = serializers.DateTimeField(source="planned.early_start")
    early_finish = serializers.DateTimeField(source="planned.early_finish")
    early_cured = serializers.DateTimeField(source="planned.cured")
    late_start = serializers.DateTimeField(source="planned.late_start")
    late_finish = serializers.DateTimeField(source="planned.late_finish")
    total_float = serializers.IntegerField(source="planned.total_float")
    free_float = serializers.IntegerField(source="planned.free_float")
    critical = serializers.BooleanField(source="planned.critical")


class OrderSheetSerializer(serializers.Serializer):
    """The order of work. `launch` is with the hands there are; `soonest` bounds it from below."""

    now = serializers.DateTimeField(source="plan.now")
    made_at = serializers.DateTimeField(source="order.made_at", allow_null=True, default=None)
    time_zone = serializers.CharField(source="plan.build.time_zone")
    launch = serializers.DateTimeField(source="order.launch", allow_null=True, default=None)
    soonest = serializers.DateTimeField(source="order.soonest", allow_null=True, default=None)
    launch_endless = serializers.DateTimeField(source="plan.launch", allow_null=True)
    problems = serializers.ListField(source="plan.problems", child=serializers.CharField())
    tasks = OrderRowSerializer(many=True)


class WorkOrder(InBuild):
    """The order of work that the hands allow, with its dates; finished tasks come first."""

    serializer_class = OrderSheetSerializer
    queryset = Task.objects.all()
    pagination_class = None
    filter_backends = []

    @extend_schema(responses=OrderSheetSerializer)
    def list(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        plan = plan_of(self.build)
        return Response(OrderSheetSerializer(sheet_of(plan, fresh_order(plan))).data)
