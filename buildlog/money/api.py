from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from buildlog.money.cost import Cost, cost_of
from buildlog.money.models import StandingCost
from buildlog.units import round_to_minor
from tasks.api.base import BuildSerializer, InBuild, Rows
from tasks.plan import plan_of

SUMS = (
    "paid", "standing_to_date", "spent", "committed", "to_buy", "equipment",
    "standing_to_launch", "contingency", "to_finish", "expected_total", "on_old_prices",
    "rounding_up",
)  # fmt: skip


class StandingCostSerializer(BuildSerializer):
    class Meta:
        model = StandingCost
        fields = ["id", "name", "a_month", "first", "last"]


class StandingCosts(Rows):
    queryset = StandingCost.objects.all()
    serializer_class = StandingCostSerializer
    rights = ("see-money", "money")


class CostSerializer(serializers.Serializer):
    """Sums in the build's currency, each rounded once to its minor unit."""

    currency = serializers.CharField()
    as_of = serializers.DateField()
    launch = serializers.DateField(allow_null=True)
    sums = serializers.DictField(child=serializers.DecimalField(None, None))
    no_price = serializers.ListField(child=serializers.IntegerField())
    no_rate = serializers.ListField(child=serializers.IntegerField())


def as_values(cost: Cost) -> dict[str, Any]:
    currency = cost.build.currency
    return {
        "currency": currency,
        "as_of": cost.today,
        "launch": cost.launch,
        "sums": {name: round_to_minor(getattr(cost, name), currency) for name in SUMS},
        "no_price": [row.material.pk for row in cost.no_price],
        "no_rate": [paper.purchase.pk for paper in cost.no_rate],
    }


class CostSheet(InBuild):
    """Spent, committed, cost to finish: the money sheet's sums."""

    queryset = StandingCost.objects.all()
    serializer_class = CostSerializer
    rights = ("see-money", "money")
    pagination_class = None
    filter_backends = []

    @extend_schema(responses=CostSerializer)
    def list(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        cost = cost_of(self.build, plan_of(self.build))
        return Response(CostSerializer(as_values(cost)).data)
