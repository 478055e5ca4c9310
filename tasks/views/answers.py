"""What several pages answer alike."""

from __future__ import annotations

from contextlib import AbstractContextManager, nullcontext
from typing import Any

from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme

from tasks import changes
from tasks.models import Build


def alone_to_post(request: HttpRequest, build: Build) -> AbstractContextManager[Build]:
    """What is sent is judged and kept with nobody between; what is only looked at locks nothing."""
    return changes.alone_on(build) if request.method == "POST" else nullcontext(build)


def answer_form(
    request: HttpRequest, build: Build | None, template: str, form: BaseForm, **more: Any
) -> HttpResponse:
    """The page with its form: 422 where what was sent was refused, 409 where it was stale."""
    status = 200
    if request.method == "POST":
        status = 409 if form.has_error("__all__", "stale") else 422
    context = {"build": build, "form": form} | more
    return render(request, template, context, status=status)


def back_to(request: HttpRequest, name: str, *args: Any) -> str:
    """The address of this site that the form names to go back to, else that of a page."""
    return own_address(request, "back") or reverse(name, args=args)


def own_address(request: HttpRequest, field: str) -> str:
    """The address of this site that a form's field names; empty if it names anything else.

    It begins with a stroke: a bare word would be taken by `redirect` for the name of a page.
    """
    address = request.POST.get(field, "")
    own = address.startswith("/") and url_has_allowed_host_and_scheme(address, None)
    return address if own else ""
