"""What a browser, or a proxy on the way to it, may keep of the answers."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse


def private_unless_said(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """An answer that says nothing of it is for the one who asked, and is asked for again.

    It is not “no-store”: the Back button would then lose what was typed into a form.
    """

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if "Cache-Control" not in response:
            response["Cache-Control"] = "private, no-cache"
        return response

    return middleware
