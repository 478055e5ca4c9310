"""Lists in and out by the API: the same reading, checks and writing as on the pages."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers, status
from rest_framework.decorators import action
from rest_framework.exceptions import ValidationError
from rest_framework.parsers import FormParser, MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from buildlog.lists import taking
from buildlog.lists.answers import Answers
from buildlog.lists.bringing import Bringing, counts, faults, look, write
from buildlog.lists.kinds import KINDS, Kind
from buildlog.lists.models import Upload
from buildlog.lists.reading import Refused
from buildlog.lists.uploads import bytes_of
from tasks.api.base import InBuild
from tasks.changes import alone_on

KIND = OpenApiParameter("kind", str, OpenApiParameter.PATH, enum=list(KINDS))


class KindSerializer(serializers.Serializer):
    key = serializers.CharField()
    title = serializers.CharField()
    holds = serializers.CharField(source="hint")
    known_again_by = serializers.CharField(source="same")
    columns = serializers.SerializerMethodField()
    may_bring_in = serializers.SerializerMethodField()

    def get_columns(self, kind: Kind) -> list[str]:
        money = self.context["crew"].may("see-money")
        return [column.heading for column in taking.columns_of(kind, money)]

    def get_may_bring_in(self, kind: Kind) -> bool:
        return self.context["crew"].may(kind.right)


class BringSerializer(serializers.Serializer):
    file = serializers.FileField(help_text="CSV or XLSX.")
    answers = serializers.JSONField(
        required=False,
        help_text="What the file leaves open: columns, units, decimals, order (dmy or mdy), "
        "currency, rates, names, sheet, encoding, delimiter, header_row.",
    )
    leave_out = serializers.BooleanField(
        default=False, help_text="Leave rows with faults out; otherwise one fault stops it all."
    )
    only_look = serializers.BooleanField(default=False, help_text="Say what it would do.")

    def validate_answers(self, said: Any) -> Answers:
        if not isinstance(said, dict):
            raise serializers.ValidationError("Answers are an object of names and values.")
        unknown = sorted(set(said) - set(Answers.__dataclass_fields__))
        if unknown:
            raise serializers.ValidationError(f"There is no answer named {unknown[0]}.")
        for name, default in Answers().to_json().items():
            wanted = int if name == "header_row" else type(default)
            if name in said and not isinstance(said[name], wanted):
                raise serializers.ValidationError(f"{name} is not of the right shape.")
            if wanted is dict and not all(isinstance(v, str) for v in said.get(name, {}).values()):
                raise serializers.ValidationError(f"{name} holds texts by name.")
        return Answers.from_json(said)


class FaultSerializer(serializers.Serializer):
    row = serializers.IntegerField()
    column = serializers.CharField()
    rule = serializers.CharField()
    message = serializers.CharField()
    text = serializers.CharField()


class OutcomeSerializer(serializers.Serializer):
    """What a list did, or would do. `open` are questions to be answered before it can go in."""

    written = serializers.BooleanField()
    new = serializers.IntegerField()
    changed = serializers.IntegerField()
    unchanged = serializers.IntegerField()
    refused = serializers.IntegerField()
    faults = FaultSerializer(many=True)
    open = serializers.ListField(child=serializers.CharField())
    notes = serializers.ListField(child=serializers.CharField())


def as_outcome(bringing: Bringing, *, written: bool) -> dict[str, Any]:
    tally = counts(bringing)
    return {
        "written": written,
        "new": tally.new,
        "changed": tally.changed,
        "unchanged": tally.same,
        "refused": tally.refused,
        "faults": faults(bringing),
        "open": [question.message for question in bringing.found.open],
        "notes": bringing.notes,
    }


class Lists(InBuild):
    """Lists of tasks, links, parts, materials, purchases, stock, log and supporters."""

    queryset = Upload.objects.all()
    serializer_class = KindSerializer
    lookup_url_kwarg = "kind"
    lookup_value_regex = "[a-z]+"
    pagination_class = None
    filter_backends = []
    rights = ("look", "look")  # each kind has rights of its own, asked for below

    @extend_schema(responses=KindSerializer(many=True))
    def list(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        kinds = taking.kinds_seen(self.crew.rights)
        return Response(self.get_serializer(kinds, many=True).data)

    def kind_or_404(self, right: str) -> Kind:
        kind = KINDS.get(self.kwargs["kind"])
        if kind is None:
            raise Http404
        if not self.crew.may(getattr(kind, right)):
            raise PermissionDenied("That list is not yours to see or to bring in.")
        return kind

    @extend_schema(
        parameters=[KIND, OpenApiParameter("form", str, enum=[*taking.FORMS])],
        responses={(200, "application/octet-stream"): OpenApiTypes.BINARY},
    )
    @action(detail=True, methods=["get"])
    def file(self, request: Request, *args: Any, **kwargs: Any) -> HttpResponse:
        """The list as it stands, as CSV or (`?form=xlsx`) XLSX."""
        kind = self.kind_or_404("see")
        form = request.query_params.get("form", "csv")
        if form not in taking.FORMS:
            raise ValidationError({"form": [f"Say one of {', '.join(taking.FORMS)}."]})
        money = self.crew.may("see-money")
        content = (
            taking.csv_of(self.build, kind, money)
            if form == "csv"
            else taking.workbook_of(self.build, [kind], money)
        )
        response = HttpResponse(content, content_type=taking.FORMS[form])
        name = taking.file_name(self.build, kind.key, form)
        response["Content-Disposition"] = f'attachment; filename="{name}"'
        return response

    @extend_schema(
        parameters=[KIND],
        request={"multipart/form-data": BringSerializer},
        responses={200: OutcomeSerializer, 409: OutcomeSerializer},
    )
    @action(
        detail=True,
        methods=["post"],
        url_path="bring-in",
        parser_classes=[MultiPartParser, FormParser],
    )
    def bring_in(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Bring a list in, all of it or nothing. 409, with the faults: nothing was written."""
        kind = self.kind_or_404("right")
        sent = BringSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        said = sent.validated_data
        answers = said.get("answers", Answers())
        try:
            content = bytes_of(said["file"])
            with alone_on(self.build) as build:
                bringing = look(build, request.user, kind, content, answers)
                stopped = bringing.found.open or (bringing.found.faults and not said["leave_out"])
                goes = not stopped and not said["only_look"]
                if goes:
                    write(bringing, kind, leave_out=said["leave_out"])
        except Refused as refused:
            raise ValidationError({"file": [str(refused)]}) from refused
        code = status.HTTP_409_CONFLICT if stopped and not said["only_look"] else status.HTTP_200_OK
        return Response(
            OutcomeSerializer(as_outcome(bringing, written=bool(goes))).data, status=code
        )
