"""Endpoints of the log and the photos. Each calls what the pages call."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.http import HttpResponseBase
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers, status
from rest_framework.decorators import action
from rest_framework.exceptions import ValidationError
from rest_framework.parsers import FormParser, MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from buildlog.files.serve import send_original
from buildlog.journal import photo_acts, writing
from buildlog.journal.intake import Outcome, Place, take_in
from buildlog.journal.models import Entry, Photo
from tasks.api.base import BuildSerializer, Changed, InBuild, OfBuild, Rows
from tasks.api.errors import Conflict
from tasks.models import Person, Task, Work


class HoursSerializer(serializers.ModelSerializer):
    """Hours that an entry tells of."""

    serializer_related_field = OfBuild
    person = serializers.PrimaryKeyRelatedField(
        queryset=Person.objects.all(), allow_null=True, required=False
    )
    minutes = serializers.IntegerField(min_value=1, max_value=24 * 60)
    who = serializers.CharField(max_length=120, required=False, allow_blank=True)

    class Meta:
        model = Work
        fields = ["id", "person", "who", "task", "minutes"]

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        person = attrs.get("person")
        build = self.context["build"]
        if person and not build.crew.filter(person=person).exists():
            raise ValidationError({"person": ["Nobody of that number is crew here."]})
        if not person and not attrs.get("who"):
            raise ValidationError({"who": ["Say whose hours these are."]})
        return attrs


class EntrySerializer(BuildSerializer):
    """A log entry. `hours` adds rows when the entry is new; a PATCH needs the `version` it saw."""

    tasks = OfBuild(many=True, queryset=Task.objects.all(), required=False)
    hours = HoursSerializer(many=True, required=False, source="work")
    key = serializers.CharField(
        max_length=64, required=False, write_only=True,
        help_text="Your own key for it: sent twice, it is one entry.",
    )  # fmt: skip
    version = serializers.IntegerField(required=False)

    class Meta:
        model = Entry
        fields = [
            "id", "day", "text", "tasks", "hours", "air_c", "surface_c", "humidity", "author",
            "version", "key", "made_at", "changed_at",
        ]  # fmt: skip
        read_only_fields = ["author", "made_at", "changed_at"]

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        plain = {name: value for name, value in attrs.items() if name not in ("work", "version")}
        super().validate(plain)
        if self.instance and "version" not in attrs:
            raise ValidationError({"version": ["Say which version you read, to change it."]})
        if self.instance and "work" in attrs:
            raise ValidationError({"hours": ["Hours of an entry are changed on its page."]})
        return attrs

    def not_checked(self) -> set[str]:
        return {"key"}  # one that was sent before is no fault: the entry that it made is answered

    def to_writing(self) -> writing.Writing:
        values = dict(self.validated_data)
        old = self.instance
        names = ("day", "text", "air_c", "surface_c", "humidity")
        columns = {
            name: values.get(name, getattr(old, name) if old else None)
            for name in names
            if name in values or old
        }
        tasks = values.get("tasks", list(old.tasks.all()) if old else [])
        hours = [writing.Hours(**row) for row in values.get("work", ())]
        key = values.get("key", "")
        return writing.Writing(tasks=tasks, hours=hours, key=key, **columns)


class Entries(Rows):
    """The log."""

    queryset = Entry.objects.prefetch_related("tasks", "work")
    serializer_class = EntrySerializer
    filterset_fields = {"day": ["exact", "gte", "lte"], "tasks": ["exact"], "author": ["exact"]}
    rights = ("look", "log")

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        sent = self.get_serializer(data=request.data)
        sent.is_valid(raise_exception=True)
        entry, is_new = writing.add_entry(self.build, self.crew, sent.to_writing())
        code = status.HTTP_201_CREATED if is_new else status.HTTP_200_OK
        return Response(self.get_serializer(entry).data, status=code)

    def partial_update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        entry = self.get_object()
        sent = self.get_serializer(entry, data=request.data, partial=True)
        sent.is_valid(raise_exception=True)
        version = sent.validated_data["version"]
        try:
            changed = writing.change_entry(entry, self.crew, sent.to_writing(), version)
        except writing.Stale as stale:
            raise Conflict(stale.reason, code="stale") from stale
        return Response(self.get_serializer(changed).data)

    def perform_destroy(self, instance: Entry) -> None:
        writing.delete_entry(instance, self.crew)


class PhotoSerializer(BuildSerializer):
    sha256 = serializers.CharField(source="file.sha256", read_only=True)
    size = serializers.IntegerField(source="file.size", read_only=True)
    name = serializers.CharField(source="file.name", read_only=True)
    tasks = OfBuild(many=True, queryset=Task.objects.all(), required=False)

    class Meta:
        model = Photo
        fields = [
            "id", "name", "sha256", "size", "width", "height", "taken_at", "taken_from",
            "caption", "entry", "stage", "tasks", "made_at",
        ]  # fmt: skip
        read_only_fields = ["width", "height", "taken_at", "taken_from", "made_at"]

    def not_checked(self) -> set[str]:
        return {"file", "taken_at", "taken_from", "width", "height", "person"}


class UploadSerializer(serializers.Serializer):
    file = serializers.FileField()
    tasks = OfBuild(many=True, queryset=Task.objects.all(), required=False)


class Photos(
    InBuild,
    mixins.ListModelMixin,
    mixins.RetrieveModelMixin,
    Changed,
    mixins.DestroyModelMixin,
):
    """Photos. One file a request; the same picture sent again is the photo there is."""

    queryset = Photo.objects.select_related("file").prefetch_related("tasks")
    serializer_class = PhotoSerializer
    filterset_fields = {"stage": ["exact"], "tasks": ["exact"], "entry": ["exact"],
                        "taken_at": ["gte", "lte"]}  # fmt: skip
    rights = ("look", "log")
    http_method_names = ["get", "post", "patch", "delete", "head", "options"]

    def get_queryset(self) -> QuerySet[Photo]:
        return super().get_queryset()

    @extend_schema(request={"multipart/form-data": UploadSerializer}, responses=PhotoSerializer)
    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        sent = UploadSerializer(data=request.data, context=self.get_serializer_context())
        sent.is_valid(raise_exception=True)
        place = Place(tasks=tuple(sent.validated_data.get("tasks", ())))
        taken = take_in(self.build, request.user, sent.validated_data["file"], place)
        if taken.outcome == Outcome.REFUSED:
            raise ValidationError({"file": [taken.reason]})
        is_new = taken.outcome == Outcome.NEW
        code = status.HTTP_201_CREATED if is_new else status.HTTP_200_OK
        return Response(self.get_serializer(taken.photo).data, status=code)

    def get_parsers(self) -> list[Any]:
        if self.request and self.request.method == "POST":
            return [MultiPartParser(), FormParser()]
        return super().get_parsers()

    def perform_update(self, serializer: PhotoSerializer) -> None:
        if not photo_acts.may_change(self.crew, serializer.instance):
            raise PermissionDenied("It is another's photo.")
        super().perform_update(serializer)

    def perform_destroy(self, instance: Photo) -> None:
        if not photo_acts.may_change(self.crew, instance):
            raise PermissionDenied("It is another's photo.")
        try:
            photo_acts.remove(instance, self.crew, timezone.now())
        except photo_acts.CannotDo as error:
            raise Conflict(str(error)) from error

    @extend_schema(responses={(200, "application/octet-stream"): OpenApiTypes.BINARY})
    @action(detail=True, methods=["get"], right="log")
    def original(self, request: Request, *args: Any, **kwargs: Any) -> HttpResponseBase:
        """The file as it came, with all that its camera wrote."""
        return send_original(self.get_object().file)
