"""The project's addresses with one more: a view that does nothing, behind the same middleware."""

from django.http import HttpRequest, HttpResponse
from django.urls import path

from buildlog.urls import urlpatterns as own


def bare(request: HttpRequest) -> HttpResponse:
    """Answer a signed-in person a constant."""
    return HttpResponse(f"Nothing, for number {request.user.pk}.")


urlpatterns = [path("bare/", bare), *own]
