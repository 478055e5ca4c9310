from __future__ import annotations

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.decorators import api_view
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from buildlog.desk import actions
from tasks.api.views import Tasks
from tasks.models import Act


class TasksWithMaterial(Tasks):
    """Tasks, whose undone finish also gives back the material that it took."""

    def undo_act(self, act: Act) -> Act:
        return actions.undo(act, self.request.user, timezone.now())


@extend_schema(exclude=True)
@api_view(["GET"])
def start(request: Request) -> Response:
    """Where to go from here."""
    return Response(
        {
            "builds": reverse("api-build-list", request=request),
            "schema": reverse("api-schema", request=request),
        }
    )
