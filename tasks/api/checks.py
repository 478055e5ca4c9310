"""The checks of the plan, as an endpoint: what the sheet of checks shows, as figures."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from tasks.api.base import InBuild
from tasks.baselines import baseline_of
from tasks.health import PlanHealth, health_of
from tasks.health_words import advice, says
from tasks.models import Task
from tasks.network.health import PUBLISHED, Check, Fault, How, Key, Verdict, Why
from tasks.plan import plan_of


def _words(kind: Any) -> list[str]:
    return [one.value for one in kind]


class CheckFaultSerializer(serializers.Serializer):
    """A task or a link at fault; the other is null."""

    task = serializers.IntegerField(allow_null=True)
    link = serializers.IntegerField(allow_null=True)
    how = serializers.ListField(child=serializers.ChoiceField(choices=_words(How)))
    minutes = serializers.IntegerField(
        allow_null=True,
        help_text="How much: shop minutes of float or work, minutes of a lag or by the clock.",
    )


class CheckSerializer(serializers.Serializer):
    key = serializers.ChoiceField(choices=_words(Key))
    point = serializers.IntegerField(
        allow_null=True, help_text="Its number among the DCMA 14 points; null beside them."
    )
    name = serializers.CharField()
    formula = serializers.CharField()
    limit = serializers.FloatField(allow_null=True, help_text="Null where none is set.")
    at_least = serializers.BooleanField(help_text="Whether the limit is the least or the most.")
    of_count = serializers.BooleanField(help_text="Whether it is of the count or of the share.")
    limit_seen = serializers.CharField(help_text="Where the limit was seen.")
    verdict = serializers.ChoiceField(choices=_words(Verdict))
    why = serializers.ChoiceField(
        choices=_words(Why), allow_null=True, help_text="Why it cannot be told."
    )
    count = serializers.IntegerField()
    base = serializers.IntegerField()
    share = serializers.FloatField(allow_null=True, help_text="Count by base; null by 0.")
    says = serializers.CharField()
    advice = serializers.CharField()
    faults = CheckFaultSerializer(many=True)


class PracticeSerializer(serializers.Serializer):
    """One of the ten practices of GAO-16-89G."""

    number = serializers.IntegerField()
    name = serializers.CharField()
    verdict = serializers.ChoiceField(choices=_words(Verdict))
    checks = serializers.ListField(
        child=serializers.CharField(), help_text="Keys of the checks that it rests on."
    )


class ChecksSerializer(serializers.Serializer):
    now = serializers.DateTimeField()
    problems = serializers.ListField(child=serializers.CharField())
    baseline = serializers.IntegerField(allow_null=True, help_text="The one held against.")
    day_minutes = serializers.IntegerField(
        allow_null=True, help_text="Shop minutes of a usual working day."
    )
    checks = CheckSerializer(many=True)
    practices = PracticeSerializer(many=True)


class ChecksSheet(InBuild):
    """Whether the plan can be believed: the published checks of schedules, and what is at fault.

    There are none where the tasks cannot be planned; `problems` says why.
    """

    serializer_class = ChecksSerializer
    queryset = Task.objects.all()
    pagination_class = None
    filter_backends = []

    @extend_schema(responses=ChecksSerializer)
    def list(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        plan = plan_of(self.build)
        baseline = baseline_of(self.build)
        found = health_of(plan, baseline)
        sheet: dict[str, Any] = {
            "now": plan.now,
            "problems": plan.problems,
            "baseline": baseline.pk if baseline else None,
            "day_minutes": found.day if found else None,
            "checks": [],
            "practices": [],
        }
        if found:
            sheet["checks"] = [_check(found, one) for one in found.checks.checks.values()]
            sheet["practices"] = [
                {
                    "number": one.number,
                    "name": one.name,
                    "verdict": one.verdict,
                    "checks": one.keys,
                }
                for one in found.checks.practices
            ]
        return Response(ChecksSerializer(sheet).data)


def _check(found: PlanHealth, check: Check) -> dict[str, Any]:
    published = PUBLISHED[check.key]
    limit = published.limit
    return {
        "key": check.key,
        "point": published.point,
        "name": published.name,
        "formula": published.formula,
        "limit": float(limit.value) if limit else None,
        "at_least": bool(limit and limit.at_least),
        "of_count": bool(limit and limit.of_count),
        "limit_seen": published.seen,
        "verdict": check.verdict,
        "why": check.why,
        "count": check.count,
        "base": check.base,
        "share": check.share,
        "says": says(found, check),
        "advice": advice(check.key),
        "faults": [_fault(found, one) for one in check.faults],
    }


def _fault(found: PlanHealth, fault: Fault) -> dict[str, Any]:
    link = found.link_of(fault)
    return {
        "task": fault.task,
        "link": link.pk if link else None,
        "how": fault.hows,
        "minutes": fault.minutes,
    }
