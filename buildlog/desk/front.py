"""The first page after signing in: the builds one is crew of."""

from __future__ import annotations

from django.db.models import Count, Q
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from tasks.access import SignedIn
from tasks.models import Crew


@require_safe
def front(request: SignedIn) -> HttpResponse:
    """Straight to the bench where there is one build only, unless all are asked for."""
    places = list(
        Crew.objects.filter(person=request.user)
        .select_related("build")
        .annotate(
            all_tasks=Count("build__tasks"),
            finished_tasks=Count("build__tasks", Q(build__tasks__finished_at__isnull=False)),
        )
        .order_by("build__name", "pk")
    )
    if len(places) == 1 and "all" not in request.GET:
        return redirect(places[0].build)
    return render(request, "desk/front.html", {"sheet": "Builds", "places": places})
