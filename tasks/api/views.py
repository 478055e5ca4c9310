"""Endpoints of the plan. Each calls what the pages call."""

from __future__ import annotations

from typing import Any

from django.db.models import Prefetch, QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, viewsets
from rest_framework.decorators import action
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from tasks import acts
from tasks.access import crew_or_404
from tasks.api.base import InBuild, Rows
from tasks.api.serializers import (
    ActSerializer,
    BuildRowSerializer,
    CrewSerializer,
    DayOffSerializer,
    HelpDaySerializer,
    LeftSerializer,
    LinkSerializer,
    PlanSerializer,
    ShopHoursSerializer,
    StageSerializer,
    TaskSerializer,
    TaskThingSerializer,
    ThingSerializer,
    UndoSerializer,
    WorkLimitSerializer,
    WorkSerializer,
)
from tasks.changes import alone_on, delete_stage, delete_task, make_build
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
from tasks.plan import plan_of
from tasks.words import launch_words


class Builds(
    mixins.ListModelMixin,
    mixins.CreateModelMixin,
    mixins.RetrieveModelMixin,
    mixins.UpdateModelMixin,
    viewsets.GenericViewSet,
):
    """The builds you are crew of."""

    queryset = Build.objects.all()
    serializer_class = BuildRowSerializer
    lookup_field = "slug"
    http_method_names = ["get", "post", "patch", "head", "options"]

    def get_queryset(self) -> QuerySet[Build]:
        if getattr(self, "swagger_fake_view", False):
            return Build.objects.none()
        own = Crew.objects.filter(person=self.request.user)
        rows = Build.objects.seen_by(self.request.user)
        return rows.prefetch_related(Prefetch("crew", queryset=own, to_attr="own_places"))

    def perform_create(self, serializer: BuildRowSerializer) -> None:
        build = make_build(Build(**serializer.validated_data), self.request.user, {})
        serializer.instance = self.get_queryset().get(pk=build.pk)

    def perform_update(self, serializer: BuildRowSerializer) -> None:
        if not crew_or_404(self.request.user, serializer.instance.slug).may("own"):
            self.permission_denied(self.request, "Only the owner changes the build itself.")
        serializer.save().touch_plan()

    def update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        with alone_on(self.get_object()):  # counts of what changed elsewhere are not put back
            return super().update(request, *args, **kwargs)


class CrewRows(InBuild, mixins.ListModelMixin):
    """Who is crew. They come by invitation, on the pages."""

    queryset = Crew.objects.select_related("person")
    serializer_class = CrewSerializer
    lookup_field = "person"


class Stages(Rows):
    queryset = Stage.objects.all()
    serializer_class = StageSerializer

    def perform_destroy(self, instance: Stage) -> None:
        delete_stage(instance)


class Tasks(Rows):
    queryset = Task.objects.select_related("stage")
    serializer_class = TaskSerializer
    filterset_fields = ["stage", "code", "unbroken", "hands"]

    def perform_destroy(self, instance: Task) -> None:
        delete_task(instance)

    def _act(self, act: Act) -> Response:
        return Response(ActSerializer(act).data)

    @extend_schema(request=None, responses=ActSerializer)
    @action(detail=True, methods=["post"], right="log")
    def start(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Start your clock on the task."""
        return self._act(acts.start(self.get_object(), request.user, timezone.now()))

    @extend_schema(request=None, responses=ActSerializer)
    @action(detail=True, methods=["post"], right="log")
    def stop(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Stop your clock on the task; its hours are logged."""
        return self._act(acts.stop(self.get_object(), request.user, timezone.now()))

    @extend_schema(request=None, responses=ActSerializer)
    @action(detail=True, methods=["post"], right="log")
    def finish(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Say that the task is finished; its cure begins."""
        return self._act(acts.finish(self.get_object(), request.user, timezone.now()))

    @extend_schema(request=LeftSerializer, responses=ActSerializer)
    @action(detail=True, methods=["post"], right="log")
    def left(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Say how much work is left on the task."""
        said = LeftSerializer(data=request.data)
        said.is_valid(raise_exception=True)
        minutes = said.validated_data["minutes"]
        return self._act(acts.say_left(self.get_object(), request.user, minutes, timezone.now()))

    @extend_schema(request=UndoSerializer, responses=ActSerializer)
    @action(detail=True, methods=["post"], right="log")
    def undo(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Undo an act on the task; everything stands as it did before it."""
        said = UndoSerializer(data=request.data)
        said.is_valid(raise_exception=True)
        act = Act.objects.filter(task=self.get_object(), pk=said.validated_data["act"]).first()
        if act is None:
            raise ValidationError({"act": ["There is no such act on this task."]})
        return self._act(self.undo_act(act))

    def undo_act(self, act: Act) -> Act:
        """Undo it; the upper floor undoes what it did beside."""
        return acts.undo(act, self.request.user, timezone.now())


class Links(Rows):
    queryset = Link.objects.select_related("before", "after")
    serializer_class = LinkSerializer
    filterset_fields = ["before", "after", "kind"]


class ShopHoursRows(Rows):
    queryset = ShopHours.objects.all()
    serializer_class = ShopHoursSerializer


class DaysOff(Rows):
    queryset = DayOff.objects.all()
    serializer_class = DayOffSerializer


class HelpDays(Rows):
    queryset = HelpDay.objects.all()
    serializer_class = HelpDaySerializer


class Things(Rows):
    queryset = Thing.objects.all()
    serializer_class = ThingSerializer


class TaskThings(Rows):
    queryset = TaskThing.objects.all()
    serializer_class = TaskThingSerializer
    filterset_fields = ["task", "thing"]


class WorkLimits(Rows):
    queryset = WorkLimit.objects.all()
    serializer_class = WorkLimitSerializer


class WorkRows(InBuild, mixins.ListModelMixin, mixins.RetrieveModelMixin):
    """Hours logged. They are written by the clock (`tasks/…/start`) and by log entries."""

    queryset = Work.objects.all()
    serializer_class = WorkSerializer
    filterset_fields = {"task": ["exact"], "person": ["exact"], "day": ["exact", "gte", "lte"]}


class PlanSheet(InBuild):
    """The plan as it stands now: dates, floats, states, what sets the launch."""

    serializer_class = PlanSerializer
    queryset = Task.objects.all()
    pagination_class = None
    filter_backends = []

    @extend_schema(responses=PlanSerializer)
    def list(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        plan = plan_of(self.build)
        sheet = {
            "now": plan.now,
            "launch": plan.launch,
            "says": launch_words(plan),
            "problems": plan.problems,
            "critical_path": plan.critical_path,
            "tasks": plan.tasks.values(),
        }
        return Response(PlanSerializer(sheet).data)
