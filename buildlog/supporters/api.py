"""Endpoints of supporters, what they gave, and what they see. For the owner only."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from buildlog.journal.models import Photo
from buildlog.supporters.models import Contribution, Supporter, Update
from buildlog.supporters.showing import show, take_back, with_showing
from tasks.api.base import BuildSerializer, OfBuild, Rows


class SupporterSerializer(BuildSerializer):
    class Meta:
        model = Supporter
        fields = ["id", "name", "agreed", "shown_as", "email", "since", "notes"]


class ContributionSerializer(BuildSerializer):
    class Meta:
        model = Contribution
        fields = ["id", "supporter", "day", "amount", "note"]


class UpdateSerializer(BuildSerializer):
    shown = serializers.SerializerMethodField(help_text="Whether outsiders see it.")
    photos = OfBuild(many=True, queryset=Photo.objects.all(), required=False)

    class Meta:
        model = Update
        fields = ["id", "title", "text", "day", "photos", "shown", "made_at", "changed_at"]

    def get_shown(self, update: Update) -> bool:
        return bool(getattr(update, "is_shown", False))


class Supporters(Rows):
    queryset = Supporter.objects.all()
    serializer_class = SupporterSerializer
    filterset_fields = ["agreed"]
    rights = ("share", "share")


class Contributions(Rows):
    queryset = Contribution.objects.all()
    serializer_class = ContributionSerializer
    filterset_fields = {"supporter": ["exact"], "day": ["exact", "gte", "lte"]}
    rights = ("share", "share")

    def get_queryset(self) -> QuerySet[Contribution]:
        if getattr(self, "swagger_fake_view", False):
            return Contribution.objects.none()
        return Contribution.objects.filter(supporter__build=self.build)

    def perform_create(self, serializer: ContributionSerializer) -> None:
        serializer.save()


class Updates(Rows):
    """What you write for those who follow. Nobody sees one until it is shown."""

    queryset = Update.objects.prefetch_related("photos")
    serializer_class = UpdateSerializer
    rights = ("share", "share")

    def get_queryset(self) -> QuerySet[Update]:
        return with_showing(super().get_queryset())

    @extend_schema(request=None, responses=UpdateSerializer)
    @action(detail=True, methods=["post"])
    def show(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Let outsiders see it. Who and when is recorded."""
        show(self.get_object(), request.user, timezone.now())
        return Response(self.get_serializer(self.get_object()).data)

    @extend_schema(request=None, responses=UpdateSerializer)
    @action(detail=True, methods=["post"], url_path="take-back")
    def take_back(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Take it back: outsiders no longer see it."""
        take_back(self.get_object(), request.user, timezone.now())
        return Response(self.get_serializer(self.get_object()).data)
