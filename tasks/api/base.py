"""What every endpoint of a build is made of: the permission check, its rows, its rules."""

from __future__ import annotations

from typing import Any, ClassVar

from django.core.exceptions import PermissionDenied
from django.core.exceptions import ValidationError as DjangoValidationError
from django.db import models, transaction
from django.utils import timezone
from rest_framework import exceptions, mixins, serializers, viewsets
from rest_framework.request import Request
from rest_framework.response import Response

from tasks.access import crew_or_404
from tasks.api.errors import Conflict, as_detail
from tasks.changes import alone_on
from tasks.models import Build, Crew


class OfBuild(serializers.PrimaryKeyRelatedField):
    """A row of the same build. One of another build is as unknown as one that never was."""

    def get_queryset(self) -> models.QuerySet[Any] | None:
        rows = super().get_queryset()
        build = self.context.get("build")
        if rows is None or build is None:
            return rows
        return rows.filter(build=build)


class BuildSerializer(serializers.ModelSerializer):
    """Rows of a build, held to the rules of their model: those that the pages hold them to."""

    serializer_related_field = OfBuild

    def get_unique_together_validators(self) -> list[Any]:
        return []  # the model's own rules speak, in the builder's words

    def get_unique_together_constraints(self, model: type[models.Model]) -> list[Any]:
        return []

    def run_validation(self, data: Any = serializers.empty) -> Any:
        if isinstance(data, dict) or hasattr(data, "keys"):
            unknown = set(data) - set(self.fields) - {"csrfmiddlewaretoken"}
            if unknown:
                raise exceptions.ValidationError(
                    {name: ["There is no such field."] for name in sorted(unknown)}
                )
        return super().run_validation(data)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        many = {field.name for field in self.Meta.model._meta.many_to_many}
        values = {name: value for name, value in attrs.items() if name not in many}
        row = self.as_row(values)
        try:
            row.full_clean(exclude=self.not_checked())
        except DjangoValidationError as error:
            raise exceptions.ValidationError(as_detail(error)) from error
        return attrs

    def not_checked(self) -> set[str]:
        """Model fields that the caller does not give and the rules do not look at."""
        return set()

    def as_row(self, values: dict[str, Any]) -> models.Model:
        """The row as it would stand, without touching the one there is."""
        model = self.Meta.model
        if self.instance is None:
            if "build" in {field.name for field in model._meta.fields}:
                values = {"build": self.context["build"]} | values
            known = {field.name for field in model._meta.fields}
            return model(**{name: value for name, value in values.items() if name in known})
        fields = {
            field.attname: getattr(self.instance, field.attname) for field in model._meta.fields
        }
        row = model(**fields)
        row._state.adding, row._state.db = False, self.instance._state.db
        for name, value in values.items():
            setattr(row, name, value)
        return row


class InBuild(viewsets.GenericViewSet):
    """Endpoints under a build's address. Strangers get 404, crew without the right 403.

    `rights` names what reading and writing need (see `Crew.rights`); an action may name its own
    right by `right=`.
    """

    rights: ClassVar[tuple[str, str]] = ("look", "plan")
    right: str | None = None
    crew: Crew
    build: Build

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        self.crew = crew_or_404(request.user, kwargs["slug"])
        self.build = self.crew.build
        reads = request.method in ("GET", "HEAD", "OPTIONS")
        needed = self.right or self.rights[0 if reads else 1]
        if not (self.crew.may(needed) and self.crew.may(self.rights[0])):
            raise PermissionDenied(f"As {self.crew.get_role_display()}, you may not do this here.")
        timezone.activate(self.build.zone)

    def finalize_response(self, *args: Any, **kwargs: Any) -> Response:
        timezone.deactivate()
        return super().finalize_response(*args, **kwargs)

    def get_serializer_context(self) -> dict[str, Any]:
        more = {"build": self.build, "crew": self.crew} if hasattr(self, "build") else {}
        return super().get_serializer_context() | more

    def get_queryset(self) -> models.QuerySet[Any]:
        rows = super().get_queryset()
        return rows.filter(build=self.build) if hasattr(self, "build") else rows.none()

    def perform_create(self, serializer: serializers.BaseSerializer) -> None:
        serializer.save(build=self.build)

    def perform_destroy(self, instance: models.Model) -> None:
        try:
            with transaction.atomic():
                instance.delete()
        except models.RestrictedError as error:
            kinds = sorted({str(row._meta.verbose_name_plural) for row in error.restricted_objects})
            raise Conflict(
                f"{instance} cannot be deleted: {', '.join(kinds)} hang on it."
            ) from error


class Added(mixins.CreateModelMixin):
    """Adding: judged and kept with nobody between, or two links at once could close a ring."""

    build: Build

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        with alone_on(self.build):
            return super().create(request, *args, **kwargs)


class Changed(mixins.UpdateModelMixin):
    """Changing: read, judged and kept with nobody between, so that nobody's change is undone."""

    build: Build

    def update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        with alone_on(self.build):
            return super().update(request, *args, **kwargs)


class Rows(
    InBuild,
    mixins.ListModelMixin,
    Added,
    mixins.RetrieveModelMixin,
    Changed,
    mixins.DestroyModelMixin,
):
    """List, add, read, change and delete the rows of a build."""

    http_method_names = ["get", "post", "patch", "delete", "head", "options"]
