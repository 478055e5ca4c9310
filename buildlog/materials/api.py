"""Endpoints of materials, parts, stock and purchases. Each calls what the pages call."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from buildlog.materials import purchasing
from buildlog.materials.catalogue import delete_material, delete_supplier
from buildlog.materials.models import (
    Material,
    Part,
    Price,
    Purchase,
    PurchaseLine,
    StockMove,
    Supplier,
)
from buildlog.materials.need import needs_of
from buildlog.materials.papers import paper_of
from buildlog.materials.stock import count_stock, move_stock
from buildlog.units import UnitError, find_currency
from tasks.api.base import Added, BuildSerializer, InBuild, OfBuild, Rows
from tasks.plan import plan_of


def known_currency(code: str) -> str:
    """A currency's code as ISO 4217 has it, or the reason why it is none."""
    try:
        return find_currency(code.strip().upper()).code
    except UnitError as error:
        raise serializers.ValidationError(str(error), code=error.rule) from error


class SupplierSerializer(BuildSerializer):
    class Meta:
        model = Supplier
        fields = ["id", "name", "lead_days", "freight_percent", "tax_percent", "notes"]


class MaterialSerializer(BuildSerializer):
    class Meta:
        model = Material
        fields = [
            "id", "name", "kind", "unit", "length_mm", "width_mm", "thickness_mm",
            "nominal_width_mm", "nominal_thickness_mm", "density", "areal_weight", "each_kg",
            "coverage", "pack", "waste_percent", "cost_kind", "supplier", "lead_days", "notes",
        ]  # fmt: skip


class PriceSerializer(BuildSerializer):
    class Meta:
        model = Price
        fields = ["id", "material", "supplier", "day", "net", "currency", "rate", "rate_day"]

    def validate_currency(self, code: str) -> str:
        return known_currency(code)


class PartSerializer(BuildSerializer):
    """Lengths in millimetres, exact to six decimals."""

    class Meta:
        model = Part
        fields = [
            "id", "name", "task", "material", "count", "mirrored", "length_mm", "width_mm",
            "thickness_mm", "layers", "quantity", "scarf_ratio", "grain", "allowance_percent",
            "notes",
        ]  # fmt: skip


class StockMoveSerializer(BuildSerializer):
    """A row of the ledger. Write `amount` as people say it: 3 used, or 12 counted."""

    amount = serializers.DecimalField(
        max_digits=14, decimal_places=4, min_value=Decimal(0), write_only=True
    )

    class Meta:
        model = StockMove
        fields = [
            "id", "material", "day", "kind", "amount", "quantity", "counted", "task", "note",
            "made_at",
        ]  # fmt: skip
        read_only_fields = ["quantity", "counted", "made_at"]

    def validate_kind(self, kind: str) -> str:
        if kind in (StockMove.Kind.BOUGHT, StockMove.Kind.PUT_BACK):
            raise serializers.ValidationError(
                "That comes from a purchase or an undone finish, and is not written by hand."
            )
        return kind

    def not_checked(self) -> set[str]:
        return {"quantity", "person", "build"}

    def create(self, validated: dict[str, Any]) -> StockMove:
        amount = validated.pop("amount")
        if validated["kind"] == StockMove.Kind.COUNTED:
            return count_stock(
                validated["material"], amount, validated["day"], validated["person"],
                validated.get("note", ""),
            )  # fmt: skip
        return move_stock(StockMove(**validated), amount)


class LineSerializer(serializers.ModelSerializer):
    serializer_related_field = OfBuild

    class Meta:
        model = PurchaseLine
        fields = ["id", "material", "what", "quantity", "net", "tax", "cost_kind"]

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if not attrs.get("material") and not attrs.get("what"):
            raise serializers.ValidationError("Choose a material, or say what it is.")
        return attrs


class PurchaseSerializer(BuildSerializer):
    """A paper with its lines. Patching `lines` puts the given ones in the place of all."""

    lines = LineSerializer(many=True)
    own_total = serializers.SerializerMethodField(help_text="In the paper's own currency.")
    total = serializers.SerializerMethodField(help_text="In the build's; null without a rate.")

    class Meta:
        model = Purchase
        fields = [
            "id", "supplier", "receipt_number", "ordered_on", "paid_on", "arrived_on", "currency",
            "rate", "rate_day", "freight", "tax", "notes", "lines", "own_total", "total",
        ]  # fmt: skip

    def get_own_total(self, purchase: Purchase) -> Decimal:
        return paper_of(purchase).own_total

    def get_total(self, purchase: Purchase) -> Decimal | None:
        return paper_of(purchase).total

    def validate_currency(self, code: str) -> str:
        return known_currency(code)

    def validate_lines(self, lines: list[dict[str, Any]]) -> list[dict[str, Any]]:
        if not lines:
            raise serializers.ValidationError("A purchase needs at least one line.")
        return lines

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        lines = attrs.pop("lines", None)
        attrs = super().validate(attrs)
        ordered = attrs.get("ordered_on", getattr(self.instance, "ordered_on", None))
        arrived = attrs.get("arrived_on", getattr(self.instance, "arrived_on", None))
        if arrived and arrived < ordered:
            raise serializers.ValidationError(
                {"arrived_on": ["It cannot arrive before it was ordered."]}
            )
        return attrs if lines is None else attrs | {"lines": lines}

    def save(self, **more: Any) -> Purchase:
        values = dict(self.validated_data)
        lines = values.pop("lines", None)
        person = self.context["request"].user
        purchase = self.instance or Purchase(build=self.context["build"])
        for name, value in values.items():
            setattr(purchase, name, value)
        if purchase.currency == purchase.build.currency:
            purchase.rate = Decimal(1)
        rows = (
            list(purchase.lines.all()) if lines is None else [PurchaseLine(**row) for row in lines]
        )
        self.instance = purchasing.record_purchase(purchase, rows, person)
        self.instance = Purchase.objects.prefetch_related("lines__material").get(pk=purchase.pk)
        return self.instance


class Suppliers(Rows):
    queryset = Supplier.objects.all()
    serializer_class = SupplierSerializer
    rights = ("see-money", "money")

    def perform_destroy(self, instance: Supplier) -> None:
        delete_supplier(instance)


class Materials(Rows):
    queryset = Material.objects.all()
    serializer_class = MaterialSerializer
    filterset_fields = ["kind", "supplier"]

    def perform_destroy(self, instance: Material) -> None:
        delete_material(instance)


class Prices(Rows):
    queryset = Price.objects.all()
    serializer_class = PriceSerializer
    filterset_fields = ["material", "supplier"]
    rights = ("see-money", "money")

    def get_queryset(self) -> QuerySet[Price]:
        if getattr(self, "swagger_fake_view", False):
            return Price.objects.none()
        return Price.objects.filter(material__build=self.build)

    def perform_create(self, serializer: PriceSerializer) -> None:
        serializer.save()


class Parts(Rows):
    queryset = Part.objects.select_related("task", "material")
    serializer_class = PartSerializer
    filterset_fields = ["task", "material", "task__stage"]


class StockMoves(InBuild, mixins.ListModelMixin, mixins.RetrieveModelMixin, Added):
    """The stock ledger. Rows are added, never changed: a mistake is a second row."""

    queryset = StockMove.objects.all()
    serializer_class = StockMoveSerializer
    filterset_fields = {
        "material": ["exact"], "task": ["exact"], "kind": ["exact"],
        "day": ["exact", "gte", "lte"],
    }  # fmt: skip
    rights = ("look", "log")

    def perform_create(self, serializer: StockMoveSerializer) -> None:
        serializer.save(build=self.build, person=self.request.user)


class Purchases(Rows):
    queryset = Purchase.objects.select_related("supplier", "build").prefetch_related(
        "lines__material"
    )
    serializer_class = PurchaseSerializer
    filterset_fields = {"supplier": ["exact"], "ordered_on": ["exact", "gte", "lte"],
                        "paid_on": ["isnull"], "arrived_on": ["isnull"]}  # fmt: skip
    rights = ("see-money", "money")

    def perform_destroy(self, instance: Purchase) -> None:
        purchasing.delete_purchase(instance, self.request.user)

    @extend_schema(request=None, responses=PurchaseSerializer)
    @action(detail=True, methods=["post"])
    def arrived(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """It came today: put it in stock. A second time does no harm."""
        purchasing.mark_arrived(self.get_object(), self._today(), request.user)
        return Response(self.get_serializer(self.get_object()).data)

    @extend_schema(request=None, responses=PurchaseSerializer)
    @action(detail=True, methods=["post"])
    def paid(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """It was paid today. A second time does no harm."""
        purchasing.mark_paid(self.get_object(), self._today())
        return Response(self.get_serializer(self.get_object()).data)

    def _today(self) -> Any:
        return timezone.localdate(timezone=self.build.zone)


class TaskNeedSerializer(serializers.Serializer):
    task = serializers.IntegerField(allow_null=True)
    gross = serializers.DecimalField(max_digits=None, decimal_places=4, coerce_to_string=True)
    short = serializers.DecimalField(max_digits=None, decimal_places=4)
    to_buy = serializers.DecimalField(max_digits=None, decimal_places=4)
    covered = serializers.BooleanField()


class NeedSerializer(serializers.Serializer):
    """What the unmade parts need of a material, in its unit. `price` brought home, for one."""

    material = serializers.IntegerField(source="material.pk")
    name = serializers.CharField(source="material.name")
    unit = serializers.CharField(source="material.unit")
    net = serializers.DecimalField(source="need.net", max_digits=None, decimal_places=4)
    gross = serializers.DecimalField(source="need.gross", max_digits=None, decimal_places=4)
    stock = serializers.DecimalField(max_digits=None, decimal_places=4)
    on_order = serializers.DecimalField(max_digits=None, decimal_places=4)
    to_buy = serializers.DecimalField(max_digits=None, decimal_places=4)
    mass_kg = serializers.DecimalField(
        source="need.mass_kg", max_digits=None, decimal_places=4, allow_null=True
    )
    too_big = serializers.ListField(source="need.too_big", child=serializers.IntegerField())
    tasks = TaskNeedSerializer(source="need.tasks", many=True)
    price = serializers.SerializerMethodField()
    price_day = serializers.SerializerMethodField()
    cost = serializers.SerializerMethodField()

    def _sees_money(self) -> bool:
        return self.context["crew"].may("see-money")

    def get_price(self, row: Any) -> Decimal | None:
        return row.price.home if row.price and self._sees_money() else None

    def get_price_day(self, row: Any) -> str | None:
        return row.price.day.isoformat() if row.price and self._sees_money() else None

    def get_cost(self, row: Any) -> Decimal | None:
        return row.cost if self._sees_money() else None


class NeedsSheet(InBuild):
    """The takeoff as it stands: what is needed, in stock, on its way and still to buy."""

    queryset = Material.objects.all()
    serializer_class = NeedSerializer
    pagination_class = None
    filter_backends = []

    @extend_schema(responses=NeedSerializer(many=True))
    def list(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        needs = needs_of(self.build, plan_of(self.build))
        return Response(self.get_serializer(needs.materials, many=True).data)
